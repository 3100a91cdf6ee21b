// `runtrue advise` and `runtrue settings`: their arguments and help.
#include <fmt/format.h>

#include <string>

#include "cli/command_tree.h"
#include "cli/tree_parts.h"
#include "units/typed.h"

namespace runtrue {
namespace {

Result<double> read_tolerance(const std::string& text) {
  RUNTRUE_TRY(const double value, typed_number(text));
  if (value <= 0.0 || value > 1000.0) {
    return bad_input(
        fmt::format("{} is out of range, expected more than 0 and at most 1000 mm in "
                    "a metre",
                    text));
  }
  return value;
}

Result<double> read_line_mm(const std::string& text) {
  RUNTRUE_TRY(const Length length, typed_length(text));
  if (length < Length::from_mm(300) || length > Length::from_m(100)) {
    return bad_input(fmt::format("{} is out of range, expected 300 mm to 100 m", text));
  }
  return length.mm();
}

}  // namespace

void CommandTree::add_advise() {
  CLI::App* app =
      app_.add_subcommand("advise",
                          "Says how true a robot runs and which run to make next. From all its "
                          "runs so far it works out "
                          "the best trim, the drift that remains there, and how sure that is.");
  add_file(app, "ROBOT.json", advise_.robot_file, kRobotFile);
  add_file(app, "RUNS.csv", advise_.runs_file, kRunsFile);
  add_value(app, "--tolerance-mm-per-m", "MM", "allowed drift either way after a metre (10)",
            read_tolerance, advise_.tolerance_mm_per_m);
  add_value(app, "--longest-line", "LENGTH", "the floor there is for a run (2000 mm)", read_line_mm,
            advise_.longest_line_mm);
  add_value(app, "--picture", "FILE", "draw the runs and the trims: .svg, .pdf or .png",
            read_picture, advise_.picture_file);
  add_json(app, advise_.form);
  app->footer(
      "Examples:\n"
      "  runtrue advise ruff.json ruff.csv\n"
      "  runtrue advise ruff.json ruff.csv --tolerance-mm-per-m 15 --longest-line \"1 m\"\n"
      "  runtrue advise ruff.json ruff.csv --picture ruff.pdf\n"
      "\n"
      "Exit 0: the robot is in tolerance with 95 % probability. Exit 1: it is not yet, or\n"
      "can't be.\n");
}

void CommandTree::add_settings() {
  CLI::App* app = app_.add_subcommand(
      "settings",
      "Shows the numbers a robot is loaded with. Each comes with the interval it lies in with 95 % "
      "probability; what no run tells about is said to be assumed.");
  add_file(app, "ROBOT.json", settings_.robot_file, kRobotFile);
  add_file(app, "RUNS.csv", settings_.runs_file, kRunsFile);
  add_value(app, "--header", "FILE.h",
            "write the C header that the robot's own program is built with (-: print it)", read_any,
            settings_.header_file);
  add_json(app, settings_.form);
  app->footer(
      "Examples:\n"
      "  runtrue settings dunlin.json dunlin.csv\n"
      "  runtrue settings dunlin.json dunlin.csv --header dunlin_settings.h\n"
      "\n"
      "Exit 0 whenever they could be worked out.\n");
}

}  // namespace runtrue
