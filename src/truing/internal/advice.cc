#include "truing/internal/advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "drive/pose.h"
#include "truing/internal/mixture.h"
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

// A trim that bends it less by no more than this is not worth looking for.
constexpr double kHardlyBetter_mm_per_m = 3.0;

template <class Visit>
void for_every_trim(const Robot& robot, Visit visit) {
  for (int t = robot.trim_range.lowest.value; t <= robot.trim_range.highest.value; ++t)
    visit(Trim{t});
}

// "4 %": by how much to slow the faster wheel, and which one that is.
std::string slower_wheel_words(double mismatch) {
  return fmt::format("slow its {} wheel by {:.{}f} % in its code",
                     mismatch > 0.0 ? "right" : "left", 100.0 * std::abs(mismatch),
                     std::abs(mismatch) < 0.1 ? 1 : 0);
}

// " Its battery went from 4.8 to 4.1 V, so charge it first", where the runs noted so.
std::string battery_words(std::span<const StraightObservation> observations) {
  double highest = 0.0, lowest = 1e300;
  for (const auto& o : observations) {
    if (!o.battery_v) continue;
    highest = std::max(highest, *o.battery_v);
    lowest = std::min(lowest, *o.battery_v);
  }
  constexpr double kTired = 0.92;  // of the highest noted; a fresh pack sinks less in one sitting
  if (lowest > kTired * highest) return "";
  return fmt::format("; its battery went from {:.1f} to {:.1f} V, so charge it first", highest,
                     lowest);
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

double as_good_as_it_gets(const StraightPosterior& posterior, const Robot& robot, Trim best,
                          double tolerance_per_mm) {
  const double track = robot.track_width.mm();
  const double tolerance = tolerance_per_mm * track;  // in mismatch
  const double near = curvature_of_drift(kHardlyBetter_mm_per_m).per_mm() * track;
  const StraightVector design = design_of(robot, robot.level_usual, best);
  double good = 0.0;
  for (const auto& part : posterior.parts()) {
    if (part.weight < 1e-4) continue;
    const double k_sd = std::sqrt(part.covariance(3, 3));
    const StraightVector shared = part.covariance * design;
    const double slope = shared[3] / part.covariance(3, 3);
    const double sd = std::sqrt(std::max(design.dot(shared) - slope * shared[3], 1e-18));
    for (const auto& [node, weight] : kHermite) {
      const double k = part.mean[3] + node * k_sd;
      const double m = design.dot(part.mean) + slope * node * k_sd;
      // Beyond this the next trim would bend it less by more than that.
      const double half = std::max(tolerance, (std::abs(k) + near) / 2.0);
      const bool next_down = best > robot.trim_range.lowest;
      const bool next_up = best < robot.trim_range.highest;
      // A bend to the left is mended by the trim below where a higher trim bends further left.
      const double left = (k > 0.0 ? next_down : next_up) ? half : 1e3;
      const double right = (k > 0.0 ? next_up : next_down) ? half : 1e3;
      good +=
          part.weight * weight * (normal_below((left - m) / sd) - normal_below((-right - m) / sd));
    }
  }
  return good;
}

namespace {

std::string range_reason(const Robot& robot, const StraightPosterior& posterior, Trim best,
                         const std::string& drifts) {
  const double rest = posterior.curvature(robot.level_usual, best).mean() * robot.track_width.mm();
  return fmt::format(
      "the trim range {} to {} is too small: at trim {} it still runs {}; look for "
      "a dragging wheel or castor, swap a motor, or {}",
      robot.trim_range.lowest.value, robot.trim_range.highest.value, best.value, drifts,
      slower_wheel_words(rest));
}

std::string coarse_reason(const Robot& robot, const StraightPosterior& posterior, Trim best,
                          const std::string& drifts) {
  const double rest = posterior.curvature(robot.level_usual, best).mean() * robot.track_width.mm();
  const double count = drift_mm_per_m(
      Curvature::from_per_mm(std::abs(posterior.mean()[3]) / robot.track_width.mm()));
  return fmt::format(
      "one count of trim is too coarse, it moves the robot by {:.0f} mm in a metre: "
      "the best whole trim {} leaves {}; allow it a wider tolerance, or {}",
      count, best.value, drifts, slower_wheel_words(rest));
}

std::string scatter_reason(double scatter_mm_per_m, Trim best, const std::string& drifts,
                           std::span<const StraightObservation> observations) {
  return fmt::format(
      "its runs scatter by {:.0f} mm in a metre{}; look for a slipping tyre, a loose "
      "wheel or a dirty castor; at trim {} it runs {}",
      scatter_mm_per_m, battery_words(observations), best.value, drifts);
}

}  // namespace

Judgement judge(const Robot& robot, const StraightPosterior& posterior,
                std::span<const StraightObservation> observations, Trim best,
                const TruingOptions& options) {
  constexpr std::size_t kFew = 3;     // runs; one of two may be a slip of the pen
  constexpr std::size_t kMany = 6;    // runs, after which scatter is known well enough to blame it
  constexpr double kHopeless = 0.02;  // so that few that can be trued are given up
  constexpr double kRatherOut = 0.5;  // as good as it gets, and rather not within
  const double tolerance_per_mm = curvature_of_drift(options.tolerance_mm_per_m).per_mm();
  const NormalMixture at_best = posterior.curvature(robot.level_usual, best);
  const double probability = at_best.within(tolerance_per_mm);
  const double tail = (1.0 - options.confidence) / 2.0;
  const auto drift = [](double curvature) {
    return drift_mm_per_m(Curvature::from_per_mm(curvature));
  };
  const std::string drifts = drift_words(
      {drift(at_best.mean()), drift(at_best.quantile(tail)), drift(at_best.quantile(1.0 - tail))});
  const auto chance = [&] { return std::floor(100.0 * probability); };
  if (probability >= options.confidence) {
    return {Verdict::kInTolerance,
            fmt::format("at trim {} it runs {}; within {:g} mm with a probability of {:.0f} %",
                        best.value, drifts, options.tolerance_mm_per_m, chance())};
  }
  if (observations.size() >= kFew) {
    const Reach reach = reach_of(posterior, robot, tolerance_per_mm);
    const bool range = reach.range_too_small > 0.5;
    const bool settled =
        as_good_as_it_gets(posterior, robot, best, tolerance_per_mm) >= options.confidence;
    if (reach.in_tolerance <= kHopeless || (settled && probability <= kRatherOut)) {
      return {Verdict::kCannotReach, range ? range_reason(robot, posterior, best, drifts)
                                           : coarse_reason(robot, posterior, best, drifts)};
    }
  }
  const double scatter = posterior.scatter_per_mm();
  if (observations.size() >= kMany && drift(scatter) > options.tolerance_mm_per_m) {
    return {Verdict::kCannotReach, scatter_reason(drift(scatter), best, drifts, observations)};
  }
  if (observations.empty()) return {Verdict::kMoreRuns, "no straight run has been measured yet"};
  const bool one_trim = std::all_of(observations.begin(), observations.end(), [&](const auto& o) {
    return o.trim == observations.front().trim;
  });
  if (one_trim && !options.set) {
    return {
        Verdict::kMoreRuns,
        fmt::format("all straight runs were at trim {}, so what a count of trim does on this robot "
                    "is only assumed",
                    observations.front().trim.value)};
  }
  return {Verdict::kMoreRuns,
          fmt::format("at trim {} it probably runs {}; within {:g} mm with a probability of "
                      "{:.0f} % so far",
                      best.value, drifts, options.tolerance_mm_per_m, chance())};
}

}  // namespace runtrue::internal
