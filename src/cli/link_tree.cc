// `runtrue practice`: its arguments and help.
#include "cli/command_tree.h"

namespace runtrue {

void CommandTree::add_practice(Result<std::uint64_t> (*read_seed)(const std::string&)) {
  CLI::App* app = app_.add_subcommand(
      "practice",
      "A robot to practise with where none is at hand. Its motors are hidden: let it run along the "
      "tape, note what you read, set its trim, and see at the end how true it became.");
  add_value(app, "--seed", "S", "which robot it is (1)", read_seed, practice_.seed);
  app->add_flag_callback(
      "--json", [this] { practice_.form = Form::kJson; },
      "answer one JSON document at the end and nothing else");
  app->footer(
      "Reads what is typed a line at a time, from a terminal or a file; `help` there lists\n"
      "the words. A list of moves, its arrow keys and its hand remote can be tried too, and\n"
      "`runtrue load --port` loads it from another terminal. Exit 1: it drifts more than\n"
      "10 mm in a metre at the trim that is set.\n"
      "\n"
      "Examples:\n"
      "  runtrue practice\n"
      "  runtrue practice --seed 7 --json < evening.txt\n");
}

}  // namespace runtrue
