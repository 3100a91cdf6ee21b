// The commands of `runtrue`: for each a struct of its parsed arguments and the function that does
// it.
//
// Parse first, then do: `parse_command_line` (command_line.h) fills a struct without touching a
// file; the function here reads, computes by the domains, writes the files it was asked for, and
// answers what is to be printed. It prints nothing itself, so nothing is half printed where
// something fails. Files come as paths, "-" is standard input.
//
// Errors of all of them: what the readers say about a file (with line and column), what the domains
// say about a value, and what the system says about a file that cannot be read or written.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "cli/inputs.h"
#include "drive/pose.h"
#include "remote/synthesis.h"
#include "remote/time_out.h"
#include "server/assets.h"
#include "units/result.h"

namespace runtrue {

// How a command ends; the number is the exit status.
enum class Exit {
  kDone = 0,
  kNo = 1,        // it was done, and the answer is "no"
  kBadInput = 2,  // it could not be done
};

struct Answer {
  std::string text;  // for standard output
  Exit exit = Exit::kDone;
};

// Whether to answer as one JSON document or in words.
enum class Form { kWords, kJson };

// `runtrue advise`: "no" unless the verdict is in-tolerance.
struct AdviseArguments {
  std::string robot_file, runs_file;
  double tolerance_mm_per_m = 10.0;
  double longest_line_mm = 2000.0;
  std::string picture_file;  // "" for none
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const AdviseArguments& arguments, Inputs& inputs);

// `runtrue settings`: never "no"; what is not known yet is said to be assumed.
struct SettingsArguments {
  std::string robot_file, runs_file;
  std::string header_file;  // "" for none
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const SettingsArguments& arguments, Inputs& inputs);

// `runtrue forecast`: "no" where more than kAllowedRisk of the tries fall or bump.
inline constexpr double kAllowedRisk = 0.01;
struct ForecastArguments {
  std::string robot_file, runs_file, moves_file, table_file;
  Pose start;
  int samples = 10000;
  std::uint64_t seed = 1;
  std::string picture_file;  // "" for none
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const ForecastArguments& arguments, Inputs& inputs);

// `runtrue press-list`: "no" where the robot cannot keep that many presses.
struct PressListArguments {
  std::string moves_file, robot_file;
  bool nearest = false;  // the list within the robot's limit that stays nearest
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const PressListArguments& arguments, Inputs& inputs);

// `runtrue moves check`: "no" where the list has faults. `runtrue moves format`: the list in its
// fixed form, or written back into its file.
struct MovesCheckArguments {
  std::string moves_file;
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const MovesCheckArguments& arguments, Inputs& inputs);
struct MovesFormatArguments {
  std::string moves_file;
  bool write = false;
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const MovesFormatArguments& arguments, Inputs& inputs);

// `runtrue moves from-presses`: "no" where the robot cannot keep that many presses.
struct MovesFromPressesArguments {
  std::string presses_file, robot_file;
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const MovesFromPressesArguments& arguments, Inputs& inputs);

// `runtrue moves from-path`: the list of moves along a drawn path; never "no".
struct MovesFromPathArguments {
  std::string path_file;
  std::string id;  // of the line in a drawing; "" for the only one
  int most_moves = 20;
  std::optional<Length> long_side;  // as it is drawn where left out
  std::string picture_file;         // "" for none
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const MovesFromPathArguments& arguments, Inputs& inputs);

// What lies in the record of a set, as the commands name it.
enum class RecordPart { kSet, kRobot, kRuns, kTable, kMoves };

// `runtrue record import`: a file into the record, all or nothing. A set goes into an empty record
// alone. `replace` makes a robot, table or list that is there already a new version of itself.
struct RecordImportArguments {
  std::string data_file;
  RecordPart part = RecordPart::kSet;
  std::string file;
  std::string robot;  // whose runs
  std::string name;   // of a move list; "" for the file's name without its ending
  std::string who;
  bool replace = false;
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const RecordImportArguments& arguments, Inputs& inputs);

// `runtrue record export`: part of the record as the file that `import` takes.
struct RecordExportArguments {
  std::string data_file;
  RecordPart part = RecordPart::kSet;
  std::string name;         // of the robot (also for its runs), table or move list
  std::string output_file;  // "" or "-" for standard output
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const RecordExportArguments& arguments, Inputs& inputs);

// `runtrue record list`: what is in it, a robot's runs, or the newest changes.
enum class Listing { kOverview, kRuns, kHistory };
struct RecordListArguments {
  std::string data_file;
  Listing listing = Listing::kOverview;
  std::string robot;  // whose runs
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const RecordListArguments& arguments, Inputs& inputs);

// `runtrue remote read`: "no" where nothing was read from any of the captures.
struct RemoteReadArguments {
  std::vector<std::string> capture_files;
  std::string remote_file;  // "" for none: a learned remote whose keys are named
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const RemoteReadArguments& arguments, Inputs& inputs);

// `runtrue remote learn`: "no" where a key does not repeat or two can't be told apart.
struct RemoteLearnArguments {
  std::vector<std::string> keys;  // "NAME=CAPTURE"
  std::string name;
  std::string output_file;  // "" for none
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const RemoteLearnArguments& arguments, Inputs& inputs);

// `runtrue remote write`: a test signal on standard output or into a file whose name ends in .csv
// or .vcd.
struct RemoteWriteArguments {
  SignalOrder order;
  Distortion distortion;
  std::uint64_t seed = 1;
  std::string output_file;  // "" for CSV on standard output
};
[[nodiscard]] Result<Answer> run(const RemoteWriteArguments& arguments, Inputs& inputs);

// `runtrue remote room`: "no" where two of the remotes given out share a code.
struct RemoteRoomArguments {
  std::string room_file;
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const RemoteRoomArguments& arguments, Inputs& inputs);

// `runtrue remote time-out`: "no" where no time-out rides over a lost frame and stutters bearably.
struct RemoteTimeOutArguments {
  robot::Protocol protocol = robot::Protocol::kNec;
  std::optional<double> period_s;  // as measured
  double lost = 0.01;
  double tick_s = kUsualTick_s;
  double speed_mm_per_s = 200;
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const RemoteTimeOutArguments& arguments, Inputs& inputs);

struct LoadArguments {
  std::string robot_file, runs_file;
  std::string moves_file;      // "" for none
  int trials = 0;              // 0 to 8
  std::string port;            // "": the one a robot answers on
  bool trim_from_pot = false;  // the robot reads its trim from its potentiometer
  bool replace = false;        // a robot of another name too
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const LoadArguments& arguments, Inputs& inputs);

// `runtrue log`: "no" where the runs that were noted are not those it ran.
struct LogArguments {
  std::string port;       // as above
  std::string runs_file;  // "" for none: noted runs to be compared
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const LogArguments& arguments, Inputs& inputs);

// `runtrue practice`: reads what is typed from standard input and answers each line at once; "no"
// where the robot does not run true at its end.
struct PracticeArguments {
  std::uint64_t seed = 1;
  Form form = Form::kWords;
};
[[nodiscard]] Result<Answer> run(const PracticeArguments& arguments, Inputs& inputs);

// `runtrue serve`: prints by itself, since it goes on until it is ended.
struct ServeArguments {
  std::string data_file;
  int port = 0;
  bool lan = false;
  std::span<const Asset> page;  // given by the executable, not by the command line
};
[[nodiscard]] Result<Answer> run(const ServeArguments& arguments, Inputs& inputs);

// A text that was asked for instead of a command: help, or the version.
struct Told {
  std::string text;
};

using Command =
    std::variant<Told, AdviseArguments, SettingsArguments, ForecastArguments, PressListArguments,
                 MovesCheckArguments, MovesFormatArguments, MovesFromPressesArguments,
                 MovesFromPathArguments, RecordImportArguments, RecordExportArguments,
                 RecordListArguments, RemoteReadArguments, RemoteLearnArguments,
                 RemoteWriteArguments, RemoteTimeOutArguments, RemoteRoomArguments, LoadArguments,
                 LogArguments, PracticeArguments, ServeArguments>;

}  // namespace runtrue
