// Truing: from a robot's runs to its constants, its best trim, how sure that is, and the next run
// to make.
//
// The whole answer is computed at once from the description and all runs; nothing is kept between
// calls, and the same input gives the same answer. It does no input or output. Fitting 30 runs with
// advice takes a few milliseconds.
//
// Method in short (docs/truing.md): every straight run is turned into the exact circle through its
// marks; its curvature is the robot's plus the run's own chance, its direction the aim error of
// that run alone; maximum a posteriori over the ten constants of drive/settings.h with heavy-tailed
// chance and scatter estimated on a grid; the next run is the candidate with the least expected
// remaining drift for what it costs a person.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "drive/robot.h"
#include "drive/settings.h"
#include "truing/run.h"
#include "units/result.h"

namespace runtrue {

// What the trued robots of a set tell about the next one of it (set_prior.h). Means and standard
// deviations of the next robot's constants, what is uncertain of the set included.
struct SetPrior {
  int robots = 0;  // it comes from, 3 or more
  double mismatch_mean = 0.0, mismatch_sd = 0.0;
  double trim_effect_mean = 0.0, trim_effect_sd = 0.0;
  double scatter_drift_mm_per_m = 0.0, scatter_log_sd = 0.0;
  Trim usual_lowest, usual_highest;  // where the best trim of nearly all of them lies
};

struct TruingOptions {
  double tolerance_mm_per_m = 10.0;  // allowed drift either way, > 0
  double confidence = 0.95;          // of the stop rule and of every interval, 0.5..0.999
  Length longest_line = Length::from_mm(2000);  // floor there is for a run, 300 mm or more
  std::optional<SetPrior> set{};                // what is known of the set, if anything
};

// An estimate with its interval at TruingOptions::confidence.
struct Estimate {
  double mean = 0.0;
  double low = 0.0;
  double high = 0.0;
};

enum class Verdict { kInTolerance, kMoreRuns, kCannotReach };
[[nodiscard]] const char* word_of(Verdict verdict);  // "in-tolerance" "more-runs" "cannot-reach"

// The run to make next. A straight names two lines; a turn a time and a side.
struct NextRun {
  RunKind kind = RunKind::kStraight;
  Level level;
  Trim trim;
  Length half_line, line;   // straight
  Duration time;            // turn
  bool to_the_left = true;  // turn
};

struct DoubtfulRun {
  int row = 0;          // Run::row
  std::string because;  // "reads 32 mm to the right, 41 mm to the left expected; it fits if it was
                        // to the left"
};

// What is known of the drift at one trim, usual level, forward.
struct DriftAtTrim {
  Trim trim;
  Estimate drift_mm_per_m;
  double in_tolerance_probability = 0.0;
};

// One straight run as a point of the picture: the drift that its own marks give, with their
// interval.
struct RunDrift {
  int row = 0;
  Trim trim;
  Level level;
  Estimate drift_mm_per_m;
  double aim_deg = 0.0;  // aim error it left with, 0 where one line alone can't tell
  bool doubtful = false;
};

struct Truing {
  Trim best_trim;
  Estimate drift_mm_per_m;                // at best_trim
  double in_tolerance_probability = 0.0;  // at best_trim
  Verdict verdict = Verdict::kMoreRuns;
  std::string reason;  // one plain sentence made from the numbers
  std::optional<NextRun> next_run;
  std::vector<DoubtfulRun> doubtful_runs;
  std::vector<DriftAtTrim> curve;    // one for every trim of the range, ascending
  std::vector<RunDrift> run_drifts;  // one for every usable straight run with a line
  DriveSettings settings;            // settings.trim == best_trim
  // Interval of each constant at the stated confidence, in the unit of text_of(constant).
  std::array<Estimate, kConstantCount> constants{};
};

// Works with no runs at all (then it advises the first). Runs with left_out are passed over. The
// robot must have passed check_robot, every run check_run. Error (bad input): options outside their
// ranges.
[[nodiscard]] Result<Truing> true_robot(const Robot& robot, std::span<const Run> runs,
                                        const TruingOptions& options = {});

}  // namespace runtrue
