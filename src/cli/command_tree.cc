#include "cli/command_tree.h"

#include <fmt/format.h>

#include <charconv>
#include <cstddef>
#include <limits>
#include <memory>
#include <string_view>
#include <vector>

#include "cli/help.h"
#include "cli/record_parts.h"
#include "files/suggestion.h"
#include "print/picture.h"
#include "server/serve.h"
#include "units/typed.h"

namespace runtrue {
namespace {

constexpr const char* kRobotFile =
    "the robot's description: name, track width, trim range and more";
constexpr const char* kRunsFile = "its runs, one a line, with a header line";
constexpr const char* kMovesFile = "the list of moves, one a line";
constexpr const char* kJson = "answer one JSON document and nothing else";

Result<std::string> read_any(const std::string& text) { return text; }

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

Result<std::optional<Length>> read_long_side(const std::string& text) {
  RUNTRUE_TRY(const Length length, typed_length(text));
  if (length < Length::from_mm(1) || length > Length::from_m(100)) {
    return bad_input(fmt::format("{} is out of range, expected 1 mm to 100 m", text));
  }
  return std::optional<Length>(length);
}

template <class T>
Result<T> read_whole(const std::string& text, T lowest, T highest) {
  T value{};
  const char* end = text.data() + text.size();
  const auto [stopped, code] = std::from_chars(text.data(), end, value);
  if (code != std::errc() || stopped != end || value < lowest || value > highest) {
    return bad_input(
        fmt::format("'{}', expected a whole number from {} to {}", text, lowest, highest));
  }
  return value;
}

Result<int> read_samples(const std::string& text) { return read_whole<int>(text, 1, 10'000'000); }
Result<int> read_port(const std::string& text) { return read_whole<int>(text, 0, 65535); }
Result<int> read_most_moves(const std::string& text) { return read_whole<int>(text, 1, 10'000); }
Result<int> read_trials(const std::string& text) { return read_whole<int>(text, 1, 8); }
Result<std::uint64_t> read_seed(const std::string& text) {
  return read_whole<std::uint64_t>(text, 0, std::numeric_limits<std::uint64_t>::max());
}

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

Result<std::string> read_picture(const std::string& text) {
  if (auto kind = picture_kind_of(text); !kind) {
    return bad_input(fmt::format("'{}', expected a name that ends in .svg, .pdf or .png", text));
  }
  return text;
}

Result<RecordPart> read_part(const std::string& text) {
  constexpr RecordPart kParts[] = {RecordPart::kSet, RecordPart::kRobot, RecordPart::kRuns,
                                   RecordPart::kTable, RecordPart::kMoves};
  std::vector<std::string_view> words;
  for (const RecordPart part : kParts) {
    words.push_back(word_of(part));
    if (words.back() == text) return part;
  }
  return bad_input(fmt::format("'{}', expected set, robot, runs, table or moves{}", text,
                               did_you_mean(text, words)));
}

Result<Listing> read_listing(const std::string& text) {
  if (text == "all") return Listing::kOverview;
  if (text == "runs") return Listing::kRuns;
  if (text == "history") return Listing::kHistory;
  const std::vector<std::string_view> words{"all", "runs", "history"};
  return bad_input(
      fmt::format("'{}', expected all, runs or history{}", text, did_you_mean(text, words)));
}

void add_json(CLI::App* app, Form& form) {
  app->add_flag_callback(
      "--json", [&form] { form = Form::kJson; }, kJson);
}

void add_data(CLI::App* app, std::string& file) {
  file = ServeOptions().data;
  app->add_option("--data", file, "the record's file (" + file + " where it is left out)")
      ->option_text("SET.sqlite");
}

CLI::Option* add_file(CLI::App* app, const char* name, std::string& file, const char* what) {
  return app->add_option(name, file, what)->required();
}

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
  add_practice(read_seed);
  add_serve();
  app_.add_subcommand("help", "Shows the help of a command: runtrue help advise. ");
}

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

void CommandTree::add_record() {
  CLI::App* record = app_.add_subcommand(
      "record",
      "Puts files into the record of a set, takes them out, lists it. The record is one SQLite "
      "file that keeps every change; the page of `runtrue serve` works on it.");
  record->require_subcommand(0, 1);  // so that a thing may be named like a command
  record->footer("`runtrue record import --help` and so on say more.\n");
  add_record_import(record);
  add_record_export(record);
  add_record_list(record);
}

void CommandTree::add_record_import(CLI::App* record) {
  CLI::App* app = record->add_subcommand(
      "import", "Puts a file into the record. All of it or, where something is wrong, nothing.");
  add_value(app, "WHAT", "", "set (whole, into an empty record), robot, runs, table or moves",
            read_part, record_import_.part)
      ->required();
  add_file(app, "FILE", record_import_.file, "the file: JSON, for runs CSV, for moves text");
  app->add_option("--robot", record_import_.robot, "whose runs they are")->option_text("NAME");
  app->add_option("--name", record_import_.name,
                  "of the move list (the file's name without its ending)")
      ->option_text("NAME");
  app->add_flag("--replace", record_import_.replace,
                "where one of that name is there: a new version of it; the old one is kept");
  app->add_option("--who", record_import_.who, "who does it, for the history")->option_text("NAME");
  add_data(app, record_import_.data_file);
  add_json(app, record_import_.form);
  app->footer(
      "Examples:\n"
      "  runtrue record import robot dunlin.json --data club.sqlite\n"
      "  runtrue record import runs dunlin.csv --robot Dunlin --data club.sqlite\n"
      "  runtrue record import moves square.moves --replace\n"
      "  runtrue record import set club.json --data copy.sqlite\n");
}

void CommandTree::add_record_export(CLI::App* record) {
  CLI::App* app = record->add_subcommand(
      "export",
      "Takes a part out of the record as a file. It is the form that `record import` takes.");
  add_value(app, "WHAT", "", "set (whole, with its history), robot, runs, table or moves",
            read_part, record_export_.part)
      ->required();
  app->add_option("NAME", record_export_.name,
                  "of the robot (also for its runs), table or move list");
  app->add_option("--output", record_export_.output_file, "write it there (standard output)")
      ->option_text("FILE");
  add_data(app, record_export_.data_file);
  add_json(app, record_export_.form);
  app->footer(
      "Examples:\n"
      "  runtrue record export set --output club.json --data club.sqlite\n"
      "  runtrue record export runs Dunlin > dunlin.csv\n");
}

void CommandTree::add_record_list(CLI::App* record) {
  CLI::App* app = record->add_subcommand("list", "Lists what the record holds. ");
  add_value(app, "WHAT", "",
            "all (where it is left out), runs of a robot, or history: every change", read_listing,
            record_list_.listing);
  app->add_option("NAME", record_list_.robot, "the robot whose runs to list");
  add_data(app, record_list_.data_file);
  add_json(app, record_list_.form);
  app->footer(
      "Examples:\n"
      "  runtrue record list --data club.sqlite\n"
      "  runtrue record list runs Dunlin\n"
      "  runtrue record list history\n");
}

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
  CLI::App* app = app_.add_subcommand(
      "log", "Shows what a robot really ran. Read over its cable: the last eight runs.");
  app->add_option("--port", log_.port, "its serial port (the one a robot answers on)")
      ->option_text("PORT");
  add_json(app, log_.form);
  app->footer(
      "Example:\n"
      "  runtrue log --port /dev/ttyUSB0\n");
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

Result<Command> CommandTree::checked(RecordImportArguments a, const CLI::App& app) const {
  const auto given = [&app](const char* name) { return app.get_option(name)->count() > 0; };
  const bool runs = a.part == RecordPart::kRuns, moves = a.part == RecordPart::kMoves;
  if (runs && a.robot.empty()) {
    return bad_input("is missing, expected --robot NAME: whose runs they are", {"--robot"});
  }
  if (!runs && given("--robot")) return bad_input("goes with runs alone", {"--robot"});
  if (!moves && given("--name")) return bad_input("goes with moves alone", {"--name"});
  if (a.replace && (runs || a.part == RecordPart::kSet)) {
    return bad_input("goes with robot, table or moves alone", {"--replace"});
  }
  if (moves && a.name.empty() && a.file == "-") {
    return bad_input("is missing, expected --name NAME, since standard input has none", {"--name"});
  }
  return a;
}

Result<Command> CommandTree::checked(RecordExportArguments a) const {
  if (a.part == RecordPart::kSet && !a.name.empty()) {
    return bad_input(fmt::format("'{}' is one too many, expected no name for a whole set", a.name),
                     {"NAME"});
  }
  if (a.part != RecordPart::kSet && a.name.empty()) {
    return bad_input(
        fmt::format("is missing, expected runtrue record export {} NAME", word_of(a.part)),
        {"NAME"});
  }
  return a;
}

Result<Command> CommandTree::checked(RecordListArguments a) const {
  if (a.listing == Listing::kRuns && a.robot.empty()) {
    return bad_input("is missing, expected runtrue record list runs NAME", {"NAME"});
  }
  if (a.listing != Listing::kRuns && !a.robot.empty()) {
    return bad_input(fmt::format("'{}' is one too many, expected no name", a.robot), {"NAME"});
  }
  return a;
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
