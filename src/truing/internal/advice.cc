#include "truing/internal/advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "drive/pose.h"
#include "truing/words.h"

namespace runtrue::internal {
namespace {

// Gauss-Hermite nodes and weights for a standard normal, 7 points [AbSt64 25.4.46, scaled by sqrt 2
// and 1/sqrt pi].
constexpr std::array<std::pair<double, double>, 7> kHermite{
    {{-3.750439717725742, 5.48268855972216e-4},
     {-2.366759410734541, 3.07571239675865e-2},
     {-1.154405394739968, 2.40123178605013e-1},
     {0.0, 4.57142857142857e-1},
     {1.154405394739968, 2.40123178605013e-1},
     {2.366759410734541, 3.07571239675865e-2},
     {3.750439717725742, 5.48268855972216e-4}}};

constexpr double kMetre_mm = 1000.0;

double normal_below(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

template <class Visit>
void for_every_trim(const Robot& robot, Visit visit) {
  for (int t = robot.trim_range.lowest.value; t <= robot.trim_range.highest.value; ++t)
    visit(Trim{t});
}

// Where the two tape lines go: as far out as the floor allows, the first half-way.
struct Lines {
  double half_mm, end_mm;
};
Lines lines_for(const TruingOptions& options) {
  const double end =
      std::floor(options.longest_line.mm() / 50.0) * 50.0;  // a round number to lay a tape to
  return {std::floor(end / 2.0 / 50.0) * 50.0, end};
}

// Variance of the mismatch that a two-line straight will tell, for a robot that bends with
// `curvature`. One that bends so hard that it leaves the strip is read once, where it leaves, and
// its aim goes unseen.
double reading_variance(double curvature_per_mm, const Lines& lines, double track_mm,
                        double scatter_per_mm, const StraightPrior& prior) {
  constexpr double kStripHalf_mm =
      400.0;  // of floor either side that a tape is laid across; arbitrary
  const double model = prior.hard_bend_ratio * curvature_per_mm;
  double variance = scatter_per_mm * scatter_per_mm + model * model;
  const double end_offset = std::abs(curvature_per_mm) * lines.end_mm * lines.end_mm / 2.0;
  if (end_offset <= kStripHalf_mm) {
    const double x1 = lines.half_mm, x2 = lines.end_mm, span = x1 * x2 * (x2 - x1);
    const double tape = 2.0 * prior.tape_sd_mm * std::hypot(x1, x2) / span;
    const double placing = 2.0 * prior.placing_sd_mm / (x1 * x2);
    variance += tape * tape + placing * placing;
  } else {
    const double x = std::sqrt(2.0 * kStripHalf_mm / std::abs(curvature_per_mm));
    const double aim = 2.0 * prior.aim_sd_rad / x;
    variance += aim * aim;
  }
  return variance * track_mm * track_mm;
}

std::string drift_words(double mean, double low, double high) {
  return fmt::format("{}, give or take {:.0f}", sideways_words(mean),
                     std::max((high - low) / 2.0, 1.0));
}

}  // namespace

Trim best_trim_of(const StraightPosterior& posterior, const Robot& robot) {
  Trim best = robot.trim_range.lowest;
  double least = 1e300;
  for_every_trim(robot, [&](Trim trim) {
    const double size = posterior.curvature(robot.level_usual, trim).mean_size();
    // Of trims that are equally good the one nearest to 0: without runs all of them are.
    const bool nearer = std::abs(trim.value) < std::abs(best.value);
    if (size < least * (1.0 - 1e-9) || (size <= least * (1.0 + 1e-9) && nearer)) {
      least = std::min(size, least);
      best = trim;
    }
  });
  return best;
}

Reach reach_of(const StraightPosterior& posterior, const Robot& robot, double tolerance_per_mm) {
  const double half = tolerance_per_mm * robot.track_width.mm();  // in mismatch
  const int lowest = robot.trim_range.lowest.value, highest = robot.trim_range.highest.value;
  Reach reach;
  for (const auto& part : posterior.parts()) {
    if (part.weight < 1e-4) continue;
    const double k_sd = std::sqrt(part.covariance(3, 3));
    const double slope = part.covariance(0, 3) / part.covariance(3, 3);
    const double rest_sd =
        std::sqrt(std::max(part.covariance(0, 0) - slope * part.covariance(0, 3), 1e-18));
    for (const auto& [node, weight] : kHermite) {
      const double k = part.mean[3] + node * k_sd;
      const double m0 = part.mean[0] + slope * node * k_sd;
      const auto below = [&](double m) { return normal_below((m - m0) / rest_sd); };
      const double at_low = -k * lowest, at_high = -k * highest;  // m0 that these trims take out
      const double from = std::min(at_low, at_high) - half, to = std::max(at_low, at_high) + half;
      double inside = below(to) - below(from);
      reach.range_too_small += part.weight * weight * (1.0 - inside);
      if (std::abs(k) > 2.0 * half) {  // gaps between the trims that no whole trim covers
        inside = 0.0;
        for_every_trim(robot, [&](Trim trim) {
          inside += below(-k * trim.value + half) - below(-k * trim.value - half);
        });
      }
      reach.in_tolerance += part.weight * weight * inside;
    }
  }
  return reach;
}

Judgement judge(const Robot& robot, const StraightPosterior& posterior,
                std::span<const StraightObservation> observations, Trim best,
                const TruingOptions& options, const StraightPrior& prior) {
  const double tolerance_per_mm = curvature_of_drift(options.tolerance_mm_per_m).per_mm();
  const NormalMixture at_best = posterior.curvature(robot.level_usual, best);
  const double probability = at_best.within(tolerance_per_mm);
  const double tail = (1.0 - options.confidence) / 2.0;
  const auto drift = [](double curvature) {
    return drift_mm_per_m(Curvature::from_per_mm(curvature));
  };
  const double mean = drift(at_best.mean());
  const std::string words =
      drift_words(mean, drift(at_best.quantile(tail)), drift(at_best.quantile(1.0 - tail)));
  if (probability >= options.confidence) {
    return {Verdict::kInTolerance,
            fmt::format(
                "at trim {} it drifts {} in a metre; within {:g} mm with a probability of {:.0f} %",
                best.value, words, options.tolerance_mm_per_m, std::floor(100.0 * probability))};
  }
  const Reach reach = reach_of(posterior, robot, tolerance_per_mm);
  constexpr double kHopeless =
      0.02;  // so that a robot that can be trued is given up in fewer than 1 of 100
  constexpr std::size_t kRunsForRange = 3;  // one of two may be a slip of the pen
  const bool range = reach.range_too_small > 0.5;
  if (reach.in_tolerance <= kHopeless && (!range || observations.size() >= kRunsForRange)) {
    if (range) {
      return {Verdict::kCannotReach,
              fmt::format("the trim range {} to {} is too small: at trim {} it still drifts {} in "
                          "a metre; look for a dragging "
                          "wheel or castor, or swap a motor",
                          robot.trim_range.lowest.value, robot.trim_range.highest.value, best.value,
                          words)};
    }
    return {
        Verdict::kCannotReach,
        fmt::format("one count of trim is too coarse: the best whole trim {} leaves {} in a metre",
                    best.value, words)};
  }
  // How many runs more at the best trim would settle it, if it stayed where it is now.
  const double track = robot.track_width.mm();
  const double scatter = posterior.scatter_per_mm();
  const double one_run =
      reading_variance(at_best.mean(), lines_for(options), track, scatter, prior) / (track * track);
  const double room =
      (tolerance_per_mm - std::abs(at_best.mean())) / 1.645;  // sd that would do, one side at 95 %
  const double now = at_best.sd() * at_best.sd();
  const double more = room > 0.0 ? one_run / (room * room) - one_run / now : 1e9;
  constexpr double kSettled = 0.9;
  constexpr std::size_t kFewRuns = 6;
  constexpr double kTooMany = 4.0;
  if (observations.size() >= kFewRuns && more > kTooMany) {
    double other_is_better = 0.0;
    for (const int step : {-1, 1}) {
      const Trim trim{best.value + step};
      if (trim < robot.trim_range.lowest || trim > robot.trim_range.highest) continue;
      // The neighbour is better where the drift at best is past half the neighbour's effect to its
      // side.
      const double effect = posterior.curvature(robot.level_usual, trim).mean() - at_best.mean();
      const double half_way = -effect / 2.0;
      other_is_better += effect > 0.0 ? at_best.below(half_way) : 1.0 - at_best.below(half_way);
    }
    const double scatter_drift = drift(scatter);
    if (scatter_drift > options.tolerance_mm_per_m) {
      return {Verdict::kCannotReach,
              fmt::format("its runs scatter by {:.0f} mm in a metre: look for a slipping tyre, a "
                          "loose wheel or a dirty castor; "
                          "at trim {} it drifts {}",
                          scatter_drift, best.value, words)};
    }
    if (other_is_better <= 1.0 - kSettled) {
      return {Verdict::kCannotReach,
              fmt::format("one count of trim is too coarse to be sure: trim {} is the best whole "
                          "trim and leaves {} in a metre, "
                          "within {:g} mm with a probability of {:.0f} %",
                          best.value, words, options.tolerance_mm_per_m, 100.0 * probability)};
    }
  }
  if (observations.empty()) return {Verdict::kMoreRuns, "no straight run has been measured yet"};
  const bool one_trim = std::all_of(observations.begin(), observations.end(), [&](const auto& o) {
    return o.trim == observations.front().trim;
  });
  if (one_trim) {
    return {
        Verdict::kMoreRuns,
        fmt::format("all straight runs were at trim {}, so what a count of trim does on this robot "
                    "is only assumed",
                    observations.front().trim.value)};
  }
  return {
      Verdict::kMoreRuns,
      fmt::format("at trim {} it probably drifts {} in a metre; within {:g} mm with a "
                  "probability of {:.0f} % so far",
                  best.value, words, options.tolerance_mm_per_m, std::floor(100.0 * probability))};
}

NextRun next_straight(const Robot& robot, const StraightPosterior& posterior,
                      std::span<const StraightObservation> observations,
                      const TruingOptions& options, const StraightPrior& prior) {
  const Lines lines = lines_for(options);
  NextRun next;
  next.level = robot.level_usual;
  next.half_line = Length::from_mm(lines.half_mm);
  next.line = Length::from_mm(lines.end_mm);
  next.trim = best_trim_of(posterior, robot);
  if (observations.empty()) return next;

  // One step ahead on the normal that matches mean and covariance: how likely the then best trim is
  // in tolerance, averaged over what the run may read.
  const StraightVector mean = posterior.mean();
  const StraightMatrix covariance = posterior.covariance();
  const double track = robot.track_width.mm();
  const double scatter = posterior.scatter_per_mm();
  const double half = curvature_of_drift(options.tolerance_mm_per_m).per_mm() * track;
  std::vector<StraightVector> designs;
  std::vector<double> means, variances;
  for_every_trim(robot, [&](Trim trim) {
    designs.push_back(design_of(robot, robot.level_usual, trim));
    means.push_back(designs.back().dot(mean));
    variances.push_back(designs.back().dot(covariance * designs.back()));
  });
  const std::size_t count = designs.size();
  struct Left {
    double root_mean_square = 0.0;  // of the mismatch at the then best trim
    double within = 0.0;            // probability that it is in tolerance
  };
  const auto left = [&](const std::vector<double>& m, const std::vector<double>& v) {
    double least = 1e300;
    std::size_t at = 0;
    for (std::size_t i = 0; i < count; ++i) {
      const double square = m[i] * m[i] + v[i];
      if (square < least) {
        least = square;
        at = i;
      }
    }
    const double sd = std::sqrt(std::max(v[at], 1e-18));
    return Left{std::sqrt(least),
                normal_below((half - m[at]) / sd) - normal_below((-half - m[at]) / sd)};
  };
  // While all runs were at one trim its effect is a guess: a longer step may send the robot off the
  // strip, a shorter one hides in the scatter. Steps of 8 to 16 race alike.
  constexpr int kFirstStep = 12;
  // Breaks the tie while no next run could make it sure; larger ones race worse.
  constexpr double kSpreadWeight = 0.05;
  // Turning the screw to a trim that will not be the last takes a part of a run's time.
  constexpr double kScrewEffort = 1.15;
  const Left now = left(means, variances);
  const Trim current = observations.back().trim;
  const Trim best_now = next.trim;
  const bool one_trim = std::all_of(observations.begin(), observations.end(), [&](const auto& o) {
    return o.trim == observations.front().trim;
  });
  double best_gain = -1e300;
  std::vector<double> after_means(count), after_variances(count), gains(count);
  for (std::size_t c = 0; c < count; ++c) {
    const Trim trim{robot.trim_range.lowest.value + static_cast<int>(c)};
    if (one_trim && !options.set && std::abs(trim.value - current.value) > kFirstStep) continue;
    const StraightVector shared = covariance * designs[c];
    const double bend = std::sqrt(means[c] * means[c] + variances[c]) / track;
    const double seen = variances[c] + reading_variance(bend, lines, track, scatter, prior);
    for (std::size_t i = 0; i < count; ++i) {
      gains[i] = designs[i].dot(shared) / seen;
      after_variances[i] = variances[i] - gains[i] * gains[i] * seen;
    }
    double gain = 0.0;
    for (const auto& [node, weight] : kHermite) {
      const double surprise = node * std::sqrt(seen);
      for (std::size_t i = 0; i < count; ++i) after_means[i] = means[i] + gains[i] * surprise;
      const Left after = left(after_means, after_variances);
      gain += weight * (after.within - now.within +
                        kSpreadWeight * (now.root_mean_square - after.root_mean_square) / half);
    }
    if (trim != current && trim != best_now) gain /= kScrewEffort;
    const bool nearer =
        std::abs(trim.value - best_now.value) < std::abs(next.trim.value - best_now.value);
    if (gain > best_gain + 1e-9 || (gain > best_gain - 1e-9 && nearer)) {
      best_gain = std::max(gain, best_gain);
      next.trim = trim;
    }
  }
  return next;
}

namespace {

constexpr double kRound = 2.0 * std::numbers::pi;

// Constants known better than this part of what a single move scatters by itself hardly sharpen a
// forecast any more: sqrt(1 + 0.6²) = 1.17 of the scatter alone.
constexpr double kPartOfScatter = 0.6;

// The time among `times` after which `left_over` of the covariance is least.
template <class LeftOver>
Duration best_time(std::span<const double> times_s, const SpeedFit& fit, const Robot& robot,
                   TimedMove move, const SpeedPrior& prior, LeftOver left_over) {
  double least = 1e300;
  Duration best;
  for (const double time_s : times_s) {
    SpeedFit after = fit;
    after.covariance = covariance_after(fit, robot, move, time_s, prior);
    const double left = left_over(after);
    if (left < least) {
      least = left;
      best = Duration::from_s(time_s);
    }
  }
  return best;
}

}  // namespace

std::optional<NextRun> next_distance(const Robot& robot, const SpeedFit& fit, Trim best,
                                     const TruingOptions& options, const SpeedPrior& prior) {
  const double wanted_mm = std::max(50.0 / 1.96, kPartOfScatter * fit.distance_scatter * kMetre_mm);
  const auto left_over = [&](const SpeedFit& f) {
    return move_variance(f, robot, TimedMove::kStraight, kMetre_mm);
  };
  if (left_over(fit) <= wanted_mm * wanted_mm) return std::nullopt;
  // As long as it surely stays on the floor there is, by whole and half seconds.
  const double rate = usual_rate(fit, robot, TimedMove::kStraight);
  const double fast = rate * std::exp(2.0 * std::sqrt(fit.covariance(kLogGain, kLogGain)));
  const double longest_s = std::max(options.longest_line.mm() / fast, 0.5);
  std::vector<double> times_s;
  for (const double part : {0.5, 1.0}) {
    times_s.push_back(std::max(std::floor(2.0 * part * longest_s) / 2.0, 0.5));
  }
  NextRun next;
  next.level = robot.level_usual;
  next.trim = best;
  next.time = best_time(times_s, fit, robot, TimedMove::kStraight, prior, left_over);
  return next;
}

std::optional<NextRun> next_turn(const Robot& robot, const SpeedFit& fit, Trim best,
                                 const SpeedPrior& prior) {
  const double wanted_rad =
      std::max(3.0 * std::numbers::pi / 180.0 / 1.96, kPartOfScatter * fit.turn_scatter * kRound);
  const double left = move_variance(fit, robot, TimedMove::kTurnLeft, kRound);
  const double right = move_variance(fit, robot, TimedMove::kTurnRight, kRound);
  if (std::max(left, right) <= wanted_rad * wanted_rad) return std::nullopt;
  NextRun next;
  next.kind = RunKind::kTurn;
  next.level = robot.level_usual;
  next.trim = best;
  next.to_the_left = left >= right;
  const TimedMove move = next.to_the_left ? TimedMove::kTurnLeft : TimedMove::kTurnRight;
  std::vector<double> times_s;
  for (const double rounds : {1.0, 2.0, 3.0}) {  // beyond three, wheels slip and people lose count
    const double time_s = rounds * kRound / usual_rate(fit, robot, move) + fit.mean[kLostTurn];
    times_s.push_back(std::max(std::round(2.0 * time_s) / 2.0, 0.5));
  }
  next.time = best_time(times_s, fit, robot, move, prior, [&](const SpeedFit& f) {
    return move_variance(f, robot, TimedMove::kTurnLeft, kRound) +
           move_variance(f, robot, TimedMove::kTurnRight, kRound);
  });
  return next;
}

}  // namespace runtrue::internal
