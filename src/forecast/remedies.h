// What to do about a list that goes wrong: make it smaller, drive it slower, or measure the robot
// once more.
//
// Each remedy is tried out by the forecast itself, with the forecast's own start and seed, so the
// numbers can be held against each other. Method and limits: docs/forecast.md, "What to do about
// it".
#pragma once

#include <optional>
#include <vector>

#include "drive/robot.h"
#include "drive/settings.h"
#include "forecast/forecast.h"
#include "forecast/table.h"
#include "moves/move_list.h"
#include "units/result.h"

namespace runtrue {

struct RemedyOptions {
  double allowed = 0.01;  // a list stays on where it goes wrong in no more of the tries, 0..1
  int more_runs = 4;      // so many more of one kind are weighed, 1..100
  Length jig_sd = Length::from_mm(0.5);  // of x and y, set down against a start jig; an assumption
  Angle jig_heading_sd = Angle::from_deg(0.3);
};

// The whole list, so many times as large, and what it comes to then.
struct ScaledList {
  double ratio = 1.0;
  Probability mishap;
};

// The whole list with no move above that level.
struct SlowedList {
  Level level;
  Probability mishap;
};

enum class Measurement {
  kStraightRuns,  // read at two tape lines: how it bends
  kTimedRuns,     // straight for a stated time: how far it goes
  kTurnRuns,      // turns on the spot of a stated time
  kStartJig,      // something to set the robot against
};
// "straight-runs" "timed-runs" "turn-runs" "start-jig"
[[nodiscard]] const char* word_of(Measurement measurement);

// What a measurement is worth: the list as it would be after the robot was loaded anew, so aimed at
// the same path with what the measurement tells.
struct MeasurementGain {
  Measurement what = Measurement::kStraightRuns;
  Level level;   // signed; of a turn its right wheel's, so > 0 is to the left; 0 for a jig
  int runs = 0;  // 0 for a jig
  Probability mishap;
  Length end_spread;  // root mean square of the ends' distance from their middle
};

struct Remedies {
  Probability mishap;  // of the list as it is, with the tries the remedies were weighed by
  Length end_spread;
  int samples = 0;  // those tries
  // The largest of 10, 11 .. 200 % that stays on, found from above in steps of 5 % and then of 1 %;
  // none where none of them does.
  std::optional<ScaledList> largest_scale;
  // Where the list doesn't stay on: the highest level at which it does; none where no level that
  // the robot works at does either, or where it stays on already.
  std::optional<SlowedList> needed_level;
  // Of the levels and directions that the list uses, the most helpful first.
  std::vector<MeasurementGain> measurements;

  // The measurement that shrinks the risk most, if it shrinks it by a tenth at least (where nothing
  // went wrong: the spread of the ends); none where what is left is chance from run to run.
  [[nodiscard]] const MeasurementGain* best_measurement() const;
};

// Errors as forecast_moves and compile_moves.
[[nodiscard]] Result<Remedies> find_remedies(const Robot& robot, const DriveSettings& settings,
                                             const std::vector<FlatMove>& moves, const Table& table,
                                             const Pose& start, const ForecastOptions& options = {},
                                             const RemedyOptions& remedy = {});

}  // namespace runtrue
