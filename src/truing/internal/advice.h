// What to do next: the verdict over what is known, and the run that tells most for what it costs.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "truing/internal/speeds.h"
#include "truing/internal/straights.h"
#include "truing/truing.h"

namespace runtrue::internal {

// The whole trim with the least expected size of drift, forward at the usual level.
[[nodiscard]] Trim best_trim_of(const StraightPosterior& posterior, const Robot& robot);

// How likely some whole trim of the range would bring the robot into tolerance if all were known,
// and how likely the range (and not the step) is what forbids it.
struct Reach {
  double in_tolerance = 0.0;
  double range_too_small = 0.0;
};
[[nodiscard]] Reach reach_of(const StraightPosterior& posterior, const Robot& robot,
                             double tolerance_per_mm);

// How likely the robot at that trim is in tolerance, or no other whole trim would bend it less by
// more than 3 mm in a metre.
[[nodiscard]] double as_good_as_it_gets(const StraightPosterior& posterior, const Robot& robot,
                                        Trim best, double tolerance_per_mm);

// In tolerance: within it with the stated confidence. Cannot reach: hardly any whole trim could do
// it; or as good as it gets with that confidence and rather out of tolerance than in; or its runs
// scatter by more than the tolerance.
struct Judgement {
  Verdict verdict = Verdict::kMoreRuns;
  std::string reason;
};
[[nodiscard]] Judgement judge(const Robot& robot, const StraightPosterior& posterior,
                              std::span<const StraightObservation> observations, Trim best,
                              const TruingOptions& options);

// Where the two tape lines go: as far out as the floor allows, the first half-way.
struct Lines {
  double half_mm, end_mm;
};
[[nodiscard]] Lines lines_for(const TruingOptions& options);

// Variance of the mismatch that a two-line straight will tell, for a robot that bends with
// `curvature`. One that leaves the strip before the end line is read where it leaves; before the
// half line its aim goes unseen.
[[nodiscard]] double reading_variance(double curvature_per_mm, const Lines& lines, double track_mm,
                                      double scatter_per_mm, const StraightPrior& prior);

// The straight to run next: the first at the trim nearest 0 (or where the set's robots are true),
// later ones where they make it likeliest that the then best trim is in tolerance. What the run may
// read is foreseen for both ways in which the trim may work.
[[nodiscard]] NextRun next_straight(const Robot& robot, const StraightPosterior& posterior,
                                    std::span<const StraightObservation> observations,
                                    const TruingOptions& options, const StraightPrior& prior);

// Once the straights are done: the timed distance that is still wanted, so that a drive of a metre
// is known to 50 mm at 95 %, or to 0.6 of what a single drive scatters by itself; nothing if it is.
[[nodiscard]] std::optional<NextRun> next_distance(const Robot& robot, const SpeedFit& fit,
                                                   Trim best, const TruingOptions& options,
                                                   const SpeedPrior& prior);

// After that: the turn that is still wanted, so that a turn of 360 degrees is known to 3 degrees at
// 95 %, or to 0.6 of what a single turn scatters by itself; nothing if both sides are.
[[nodiscard]] std::optional<NextRun> next_turn(const Robot& robot, const SpeedFit& fit, Trim best,
                                               const SpeedPrior& prior);

}  // namespace runtrue::internal
