// A person with a tape at a bench: sets the virtual robot down, lets it run, reads, notes, and now
// and then slips.
//
// Makes the `Run` records that a lead would type. In reverse, the line's distance counts along the
// travel and left is still the robot's left, so one curvature bends both directions the same way.
// Errors are normal unless said otherwise. Same generator state, same runs.
#pragma once

#include <optional>

#include "link/chance.h"
#include "link/virtual_robot.h"
#include "truing/run.h"
#include "truing/truing.h"

namespace runtrue {

struct BenchPerson {
  double aim_sd_deg = 1.0;  // heading the robot is set down with
  double placed_sideways_sd_mm = 1.5;
  double tape_sd_mm = 1.5;        // of each reading, before rounding to whole millimetres
  double turn_read_sd_deg = 1.5;  // of a turned angle, before rounding
  int turn_noted_to_deg = 1;      // 1 or 5: the angle's rounding
  double strip_half_width_mm =
      400;  // the floor there is; a robot leaving it is noted where it left
  double blunder_probability = 0.02;
  bool notes_battery = false;  // to 0.05 V
};

enum class Blunder { kNone, kWrongSign, kBumped, kDigitSlip };

struct NotedRun {
  Run run;
  Blunder blunder = Blunder::kNone;  // what no one knows at the bench
};

// Every one: nothing where the robot did not get going, or turned back before the first line.
// A straight read at a half and an end line, 0 < half < end.
[[nodiscard]] std::optional<NotedRun> run_two_lines(VirtualRobot& robot, const BenchPerson& person,
                                                    Level level, Trim trim, Length half, Length end,
                                                    Rng& rng);
// A straight read at one line.
[[nodiscard]] std::optional<NotedRun> run_one_line(VirtualRobot& robot, const BenchPerson& person,
                                                   Level level, Trim trim, Length end, Rng& rng);
// A straight of a stated time; the distance noted is the tape's, from the start mark to where it
// stands (the chord).
[[nodiscard]] std::optional<NotedRun> run_timed(VirtualRobot& robot, const BenchPerson& person,
                                                Level level, Trim trim, Duration time, Rng& rng);
// A turn on the spot of a stated time at a level > 0.
[[nodiscard]] std::optional<NotedRun> run_turn(VirtualRobot& robot, const BenchPerson& person,
                                               Level level, Trim trim, Duration time,
                                               bool to_the_left, Rng& rng);

// For a robot that makes its runs by itself, as one that is loaded does. How it is set down: a pose
// near the start mark, with the aim error.
[[nodiscard]] Pose set_down(const BenchPerson& person, Rng& rng);
// What is read of a run that was to be as `asked`: the path on the floor from where it was set down
// on, x along the tape from the start mark. Without blunders; nothing as above.
[[nodiscard]] std::optional<Run> read_run(const DrivenPath& path, const NextRun& asked,
                                          const BenchPerson& person, Rng& rng);

}  // namespace runtrue
