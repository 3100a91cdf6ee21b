#include <algorithm>
#include <cmath>
#include <numbers>

#include "truing/internal/advice.h"

namespace runtrue::internal {
namespace {

constexpr double kMetre_mm = 1000.0;
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
