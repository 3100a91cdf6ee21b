#include "cli/command_tree.h"

#include <fmt/format.h>

#include <memory>
#include <string>

#include "cli/help.h"
#include "cli/tree_parts.h"
#include "server/serve.h"

namespace runtrue {
namespace {

Result<int> read_port(const std::string& text) { return read_whole<int>(text, 0, 65535); }

}  // namespace

CommandTree::CommandTree()
    : app_(
          "Gets small two-wheeled robots to run true, and says where a list of moves takes them. "
          "Everything is measured with a tape: the runs go into a table, the program says what "
          "they mean and which run to make next.",
          "runtrue") {
  app_.formatter(std::make_shared<HelpFormatter>());
  app_.set_help_flag("--help", "this text, or that of a command");
  app_.require_subcommand(0, 1);  // so that a file or a robot may be named like a command
  app_.add_flag("--version")->description("the version");
  app_.footer(
      "A first evening with one robot:\n"
      "  runtrue advise dunlin.json dunlin.csv      which run to make next, until it is true\n"
      "  runtrue settings dunlin.json dunlin.csv    the numbers to load it with\n"
      "  runtrue forecast dunlin.json dunlin.csv square.moves trestle.json --start 400,200,0\n"
      "  runtrue serve                              the same as a page, for a whole set\n"
      "\n"
      "A file named - is standard input. Exit status: 0 done, 1 the answer is \"no\"\n"
      "(each command's help says what that means), 2 it could not be done; then one line\n"
      "FILE:LINE:COLUMN: says what is wrong and what was expected.\n");
  add_advise();
  add_settings();
  add_forecast();
  add_press_list();
  add_moves();
  add_record();
  add_remote();
  add_load();
  add_log();
  add_practice();
  add_serve();
  app_.add_subcommand("help", "Shows the help of a command: runtrue help advise. ");
}

void CommandTree::add_serve() {
  CLI::App* app = app_.add_subcommand("serve",
                                      "Serves the page for a whole set. Prints its address once it "
                                      "can be opened; ends with Ctrl+C.");
  serve_.port = kUsualPort;
  add_data(app, serve_.data_file);
  add_value(app, "--port", "P", "the port, 0 for any free one (8137)", read_port, serve_.port);
  app->add_flag("--lan", serve_.lan,
                "let other devices of the network in, with a join code that is printed");
  app->footer(
      "Examples:\n"
      "  runtrue serve --data club.sqlite\n"
      "  runtrue serve --data club.sqlite --lan\n");
}

Result<Command> CommandTree::chosen() {
  if (fault_) return tl::unexpected(*fault_);
  if (app_.get_option("--version")->count() > 0) return Told{"runtrue " RUNTRUE_VERSION "\n"};
  const CLI::App* named = &app_;
  while (!named->get_subcommands().empty()) named = named->get_subcommands().front();
  const std::string name = full_name(*named);
  if (name == "runtrue advise") return advise_;
  if (name == "runtrue settings") return settings_;
  if (name == "runtrue forecast") return forecast_;
  if (name == "runtrue press-list") return press_list_;
  if (name == "runtrue moves check") return moves_check_;
  if (name == "runtrue moves format") {
    if (moves_format_.write && moves_format_.moves_file == "-") {
      return bad_input("standard input can't be written back, expected a file's name", {"--write"});
    }
    return moves_format_;
  }
  if (name == "runtrue moves from-presses") return moves_from_presses_;
  if (name == "runtrue moves from-path") return moves_from_path_;
  if (name == "runtrue record import") return checked(record_import_, *named);
  if (name == "runtrue record export") return checked(record_export_);
  if (name == "runtrue record list") return checked(record_list_);
  if (name == "runtrue remote read") return remote_read_;
  if (name == "runtrue remote learn") return remote_learn_;
  if (name == "runtrue remote write") return remote_write_;
  if (name == "runtrue remote time-out") return remote_time_out_;
  if (name == "runtrue remote room") return remote_room_;
  if (name == "runtrue load") return load_;
  if (name == "runtrue log") return log_;
  if (name == "runtrue practice") return practice_;
  RUNTRUE_CHECK(name == "runtrue serve");
  return serve_;
}

}  // namespace runtrue
