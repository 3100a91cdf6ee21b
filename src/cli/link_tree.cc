// `runtrue load`, `log` and `practice`: their arguments and help.
#include "cli/command_tree.h"
#include "cli/tree_parts.h"

namespace runtrue {
namespace {

Result<int> read_trials(const std::string& text) { return read_whole<int>(text, 1, 8); }

}  // namespace

void CommandTree::add_load() {
  CLI::App* app = app_.add_subcommand(
      "load",
      "Loads a robot over its cable. Its settings, and a list of moves and runs to be made where "
      "they are asked for; each is there whole or not at all.");
  add_file(app, "ROBOT.json", load_.robot_file, kRobotFile);
  add_file(app, "RUNS.csv", load_.runs_file, kRunsFile);
  app->add_option("--moves", load_.moves_file, "a list of moves for its go key")
      ->option_text("MOVES");
  add_value(app, "--trials", "N",
            "runs to be made one after the other, the advised one first, 1 to 8", read_trials,
            load_.trials);
  app->add_option("--port", load_.port, "its serial port (the one a robot answers on)")
      ->option_text("PORT");
  app->add_flag("--trim-from-pot", load_.trim_from_pot, "its potentiometer sets the trim");
  app->add_flag("--replace", load_.replace, "load a robot that has another name too");
  add_json(app, load_.form);
  app->footer(
      "Examples:\n"
      "  runtrue load dunlin.json dunlin.csv\n"
      "  runtrue load dunlin.json dunlin.csv --moves square.moves --trials 6\n"
      "\n"
      "Keep the wheels clear of the bench while loading: they may start without warning.\n"
      "Unplug before a run.\n");
}

void CommandTree::add_log() {
  CLI::App* app = app_.add_subcommand("log",
                                      "Shows what a robot really ran. Read over its cable: the "
                                      "last eight runs, and whether what was "
                                      "noted of them fits.");
  app->add_option("--port", log_.port, "its serial port (the one a robot answers on)")
      ->option_text("PORT");
  app->add_option("--runs", log_.runs_file, "noted runs: says which of them it did not run so")
      ->option_text("RUNS.csv");
  add_json(app, log_.form);
  app->footer(
      "Exit 1: with --runs, something noted is not as it ran.\n"
      "\n"
      "Examples:\n"
      "  runtrue log --port /dev/ttyUSB0\n"
      "  runtrue log --runs dunlin.csv\n");
}

void CommandTree::add_practice() {
  CLI::App* app = app_.add_subcommand(
      "practice",
      "A robot to practise with where none is at hand. Its motors are hidden: let it run along the "
      "tape, note what you read, set its trim, and see at the end how true it became.");
  add_value(app, "--seed", "S", "which robot it is (1)", read_seed, practice_.seed);
  add_json(app, practice_.form);
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
