// A robot to practise with where none is at hand: the robot's own machine (robot/machine.h) behind
// a pseudo-terminal, hidden motors (link/virtual_robot.h) under it, a floor with a start mark and a
// tape, and a person with good eyes who reads it.
//
// What it is loaded with comes over its line by the program's own link: from `load` here, or from
// another program that opens `port()`, as one loads a robot over a cable. Its keys and the keys of
// its hand remote are pressed here. No clock is read: time passes on the robot while something is
// done with it, all at once. Nothing is written but over the line. Same seed and same calls, same
// answers. One caller at a time; the line is answered beside it.
//
// What it is not: any particular robot. Nothing that computes for a person may include it.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "link/bench_person.h"
#include "link/robot_load.h"
#include "robot/press_recorder.h"
#include "robot/run_log.h"
#include "truing/truing.h"
#include "units/result.h"

namespace runtrue {

// A robot that drifts no more than this at its usual level runs true.
inline constexpr double kTrued_mm_per_m = 10.0;

struct PracticeOptions {
  std::uint64_t seed = 1;  // which robot, and the chance of everything that is done with it
  std::string name = "Whimbrel";
  Length track_width = Length::from_mm(140);
  // How it is set down and read. Blunders are the caller's own.
  BenchPerson person;
};

// Parts to load; an empty one is not loaded.
struct PracticeLoad {
  PartBytes settings, moves, trials, keys;
};

// What happened from a key on till the robot stood again.
struct PracticeRun {
  // Every 10 ms and at the end, seen from above: x along the tape from the start mark, y to its
  // left. Times from the key on.
  DrivenPath path;
  robot::LogEntry logged{};      // what the robot says it ran; of `hold` empty
  std::optional<Run> as_read{};  // of `make`: what the tape shows, if it can be read
  Duration motors_on;
  Duration run_on;  // of `hold`: from letting go to motors off
};

// How true the robot is, told by its hidden motors without chance: what no tape can see.
struct PracticeScore {
  Trim trim, best_trim;          // the one that was set, and the best whole one
  double drift_mm_per_m = 0.0;   // at that trim, usual level, forward
  double least_mm_per_m = 0.0;   // at the best one
  double metre_error_mm = 0.0;   // a metre driven by the settings comes out longer by this
  double left_error_deg = 0.0;   // a full turn by the settings comes out wider by this
  double right_error_deg = 0.0;  //
  int trials = 0;                // it has made
};

class Practice {
 public:
  // Draws a robot that can be trued: its best whole trim drifts at most kTrued_mm_per_m. Error
  // (environment): the system gives no pseudo-terminal.
  [[nodiscard]] static Result<std::unique_ptr<Practice>> begin(const PracticeOptions& options);
  ~Practice();
  Practice(const Practice&) = delete;
  Practice& operator=(const Practice&) = delete;

  // The description that a person has of it.
  [[nodiscard]] const Robot& robot() const;
  // What another program may open to load it.
  [[nodiscard]] const std::string& port() const;

  // Over the line, as `runtrue load` does. Errors: those of RobotLink.
  [[nodiscard]] Result<void> load(const PracticeLoad& parts);

  // An arrow key, to be kept as a press; nothing where nothing is loaded. Go held for two seconds:
  // clears the presses and begins the trials anew.
  void press(robot::Press press);
  void start_over();

  // Sets it down at the start mark and presses go: runs the next trial, else the presses, else the
  // list. Error (bad input): nothing runs, with the reason: not loaded, nothing to run, being
  // loaded by another program.
  [[nodiscard]] Result<PracticeRun> go();
  // What a person reads of a run with the tape lines where `asked` has them; nothing where it did
  // not get going or left the floor beside the tape.
  [[nodiscard]] std::optional<Run> read(const PracticeRun& run, const NextRun& asked);

  // Loads this one trial, makes it and reads it, with fresh cells. Presses that were kept are
  // cleared where the same trial was made before. Errors: those of `load` and `go`.
  [[nodiscard]] Result<PracticeRun> make(const NextRun& run, const DriveSettings& settings);

  // Sets it down and holds a key of its remote for that long (0.05..60 s). Errors (bad input): no
  // key that is loaded drives like that, a time outside of that, being loaded.
  [[nodiscard]] Result<PracticeRun> hold(robot::Motion motion, Duration time);

  // Fresh cells.
  void charge();

  // With fresh cells; `settings` are those it was loaded with.
  [[nodiscard]] PracticeScore score(const DriveSettings& settings) const;

 private:
  struct Room;  // all that is in it
  explicit Practice(std::unique_ptr<Room> room);

  std::unique_ptr<Room> room_;
};

// The keys of the remote that goes with a practice robot, as the part that is loaded: a key for
// each way to drive, and stop.
[[nodiscard]] PartBytes practice_keys();

}  // namespace runtrue
