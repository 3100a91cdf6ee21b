// The commands of moves and of the forecast, their arguments and help.
#include <fmt/format.h>

#include <optional>
#include <string>
#include <vector>

#include "cli/command_tree.h"
#include "cli/tree_parts.h"
#include "units/typed.h"

namespace runtrue {
namespace {

Result<std::optional<Length>> read_long_side(const std::string& text) {
  RUNTRUE_TRY(const Length length, typed_length(text));
  if (length < Length::from_mm(1) || length > Length::from_m(100)) {
    return bad_input(fmt::format("{} is out of range, expected 1 mm to 100 m", text));
  }
  return std::optional<Length>(length);
}

Result<int> read_samples(const std::string& text) { return read_whole<int>(text, 1, 10'000'000); }
Result<int> read_most_moves(const std::string& text) { return read_whole<int>(text, 1, 10'000); }

Result<Pose> read_start(const std::string& text) {
  const auto fail = [&text] {
    return bad_input(fmt::format(
        "'{}', expected X,Y,DEG as in 400,200,90: place in mm and heading in degrees, counted "
        "counter-clockwise from x, with decimal points",
        text));
  };
  std::vector<std::string> parts{""};
  for (const char c : text) {
    if (c == ',') {
      parts.emplace_back();
    } else {
      parts.back() += c;
    }
  }
  if (parts.size() != 3) return fail();
  const auto x = typed_length(parts[0]), y = typed_length(parts[1]);
  const auto heading = typed_angle(parts[2]);
  if (!x || !y || !heading) return fail();
  return Pose{*x, *y, *heading};
}

}  // namespace

void CommandTree::add_forecast() {
  CLI::App* app = app_.add_subcommand(
      "forecast",
      "Says where a list of moves takes a robot on a table, and how likely it falls or bumps. It "
      "tries the list many times with everything that is not known for sure left to chance.");
  add_file(app, "ROBOT.json", forecast_.robot_file, kRobotFile);
  add_file(app, "RUNS.csv", forecast_.runs_file, kRunsFile);
  add_file(app, "MOVES", forecast_.moves_file, kMovesFile);
  add_file(app, "TABLE.json", forecast_.table_file, "the table: its edge and what stands on it");
  add_value(app, "--start", "X,Y,DEG",
            "where the robot is set down: mm along the table's x and y, and its heading in degrees",
            read_start, forecast_.start)
      ->required();
  add_value(app, "--samples", "N", "how many tries, 1 to 10000000 (10000)", read_samples,
            forecast_.samples);
  add_value(app, "--seed", "S", "the same seed gives the same answer (1)", read_seed,
            forecast_.seed);
  add_value(app, "--picture", "FILE", "draw the table with the paths: .svg, .pdf or .png",
            read_picture, forecast_.picture_file);
  add_json(app, forecast_.form);
  app->footer(
      "Examples:\n"
      "  runtrue forecast dunlin.json dunlin.csv square.moves trestle.json --start 400,200,0\n"
      "  runtrue forecast dunlin.json dunlin.csv - trestle.json --start 400,200,90 < my.moves\n"
      "  runtrue forecast dunlin.json dunlin.csv square.moves trestle.json \\\n"
      "    --start 400,200,0 --samples 100000 --picture square.svg\n"
      "\n"
      "Exit 1: it falls or bumps in more than 1 % of the tries.\n");
}

void CommandTree::add_press_list() {
  CLI::App* app = app_.add_subcommand(
      "press-list",
      "Shows a list of moves as presses of the robot's own keys. Every move must be a whole number "
      "of presses; nothing is rounded, unless the nearest list is asked for.");
  add_file(app, "MOVES", press_list_.moves_file, kMovesFile);
  add_file(app, "ROBOT.json", press_list_.robot_file, kRobotFile);
  app->add_flag("--nearest", press_list_.nearest,
                "the presses, as many as the robot keeps, that stay nearest to the list, and how "
                "far off they are");
  add_json(app, press_list_.form);
  app->footer(
      "Examples:\n"
      "  runtrue press-list square.moves dunlin.json\n"
      "  runtrue press-list round-the-mug.moves dunlin.json --nearest\n"
      "\n"
      "Exit 1: the robot can't keep that many presses.\n");
}

void CommandTree::add_moves() {
  CLI::App* moves =
      app_.add_subcommand("moves", "Checks a list of moves, puts it in form, or makes one. ");
  moves->footer("`runtrue moves check --help` and so on say more.\n");
  moves->require_subcommand(0, 1);
  CLI::App* check = moves->add_subcommand(
      "check",
      "Shows everything that is wrong in a list of moves. Each fault comes with its line.");
  add_file(check, "MOVES", moves_check_.moves_file, kMovesFile);
  add_json(check, moves_check_.form);
  check->footer(
      "Example:\n"
      "  runtrue moves check square.moves\n"
      "\n"
      "Exit 1: there are faults.\n");
  CLI::App* format = moves->add_subcommand(
      "format", "Prints a list of moves in its fixed form. Comments and order stay.");
  add_file(format, "MOVES", moves_format_.moves_file, kMovesFile);
  format->add_flag("--write", moves_format_.write, "write it back into its file instead");
  add_json(format, moves_format_.form);
  format->footer(
      "Examples:\n"
      "  runtrue moves format square.moves\n"
      "  runtrue moves format square.moves --write\n");
  add_moves_from(moves);
}

void CommandTree::add_moves_from(CLI::App* moves) {
  CLI::App* presses = moves->add_subcommand(
      "from-presses",
      "Writes presses of the robot's keys as a list of moves. One move a press, since the robot "
      "stops after each.");
  add_file(presses, "PRESSES", moves_from_presses_.presses_file,
           "the presses: forward, back, left and right, parted by blanks, commas or lines");
  add_file(presses, "ROBOT.json", moves_from_presses_.robot_file, kRobotFile);
  add_json(presses, moves_from_presses_.form);
  presses->footer(
      "Example:\n"
      "  runtrue moves from-presses keyed.txt dunlin.json > keyed.moves\n"
      "\n"
      "Exit 1: the robot can't keep that many presses.\n");
  CLI::App* path = moves->add_subcommand(
      "from-path",
      "Makes a list of moves that follows a drawn path. Drives and turns on the spot, as near to "
      "the path as so many can be.");
  add_file(path, "PATH", moves_from_path_.path_file,
           "the path: a table of x_mm,y_mm or an SVG drawing of one line");
  add_value(path, "--most-moves", "N", "how many moves at most, turns among them (20)",
            read_most_moves, moves_from_path_.most_moves);
  add_value(path, "--long-side", "LENGTH", "make the path so long or wide (as it is drawn)",
            read_long_side, moves_from_path_.long_side);
  path->add_option("--id", moves_from_path_.id, "which line, where a drawing has several")
      ->option_text("ID");
  add_value(path, "--picture", "FILE", "draw the moves over the path: .svg, .pdf or .png",
            read_picture, moves_from_path_.picture_file);
  add_json(path, moves_from_path_.form);
  path->footer(
      "Examples:\n"
      "  runtrue moves from-path leaf.svg --long-side \"600 mm\" > leaf.moves\n"
      "  runtrue moves from-path route.csv --most-moves 12 --picture route.pdf\n");
}

}  // namespace runtrue
