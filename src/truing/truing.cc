#include "truing/truing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <set>

#include "drive/pose.h"
#include "truing/internal/advice.h"
#include "truing/internal/doubt.h"
#include "truing/internal/speeds.h"
#include "truing/internal/straights.h"

namespace runtrue {
namespace {

using internal::NormalMixture;
using internal::SpeedFit;
using internal::StraightObservation;
using internal::StraightPosterior;

double tail_of(const TruingOptions& options) { return (1.0 - options.confidence) / 2.0; }

Result<void> check_options(const TruingOptions& options) {
  if (!(options.tolerance_mm_per_m > 0.0 && options.tolerance_mm_per_m < 1000.0)) {
    return bad_input(
        fmt::format("the tolerance is {:g}, expected more than 0 and under 1000 mm per metre",
                    options.tolerance_mm_per_m));
  }
  if (!(options.confidence >= 0.5 && options.confidence <= 0.999)) {
    return bad_input(
        fmt::format("the confidence is {:g}, expected 0.5 to 0.999", options.confidence));
  }
  if (!(options.longest_line.mm() >= 300.0 && options.longest_line.mm() <= 20000.0)) {
    return bad_input(fmt::format("the longest line is {:g} mm, expected 300 to 20000",
                                 options.longest_line.mm()));
  }
  return {};
}

internal::StraightPrior straight_prior_of(const TruingOptions& options) {
  internal::StraightPrior prior;
  if (!options.set) return prior;
  prior.mismatch_mean = options.set->mismatch_mean;
  prior.mismatch_sd = options.set->mismatch_sd;
  prior.trim_effect_mean = options.set->trim_effect_mean;
  prior.trim_effect_sd = options.set->trim_effect_sd;
  prior.scatter_drift_mm_per_m = options.set->scatter_drift_mm_per_m;
  prior.scatter_log_sd = options.set->scatter_log_sd;
  return prior;
}

Estimate drift_estimate(const NormalMixture& curvature, double tail) {
  const auto drift = [](double k) { return drift_mm_per_m(Curvature::from_per_mm(k)); };
  return {drift(curvature.mean()), drift(curvature.quantile(tail)),
          drift(curvature.quantile(1.0 - tail))};
}

// Which constants no run tells about.
std::vector<Constant> assumed_constants(std::span<const StraightObservation> straights,
                                        std::span<const Run> runs) {
  bool forward = false, reverse = false;
  std::set<int> levels, trims, timed_levels, straight_times, left_times, right_times;
  for (const auto& o : straights) {
    (o.level.value > 0 ? forward : reverse) = true;
    levels.insert(std::abs(o.level.value));
    trims.insert(o.trim.value);
  }
  for (const Run& run : runs) {
    if (run.left_out || !run.time) continue;
    const int ms = static_cast<int>(std::lround(run.time->ms()));
    if (run.kind == RunKind::kStraight && run.distance) {
      straight_times.insert(ms);
      timed_levels.insert(std::abs(run.level.value));
    } else if (run.kind == RunKind::kTurn && run.turned) {
      (run.turned->rad() >= 0.0 ? left_times : right_times).insert(ms);
      timed_levels.insert(std::abs(run.level.value));
    }
  }
  std::vector<Constant> assumed;
  const auto unless = [&](bool told, Constant c) {
    if (!told) assumed.push_back(c);
  };
  unless(forward, Constant::kMismatchForward);
  unless(reverse, Constant::kMismatchReverse);
  unless(levels.size() > 1, Constant::kMismatchByLevel);
  unless(trims.size() > 1, Constant::kTrimEffect);
  unless(!straight_times.empty(), Constant::kLogSpeedGain);
  unless(timed_levels.size() > 1, Constant::kDeadBand);
  unless(straight_times.size() > 1, Constant::kLostTimeStraight);
  unless(!left_times.empty(), Constant::kLogTurnGainLeft);
  unless(!right_times.empty(), Constant::kLogTurnGainRight);
  unless(left_times.size() > 1 || right_times.size() > 1, Constant::kLostTimeTurn);
  return assumed;
}

DriveSettings settings_of(const StraightPosterior& straights, const SpeedFit& speeds) {
  DriveSettings settings;
  const auto mean = straights.mean();
  const auto covariance = straights.covariance();
  constexpr int kStraights = internal::kStraightConstants;
  for (int i = 0; i < kConstantCount; ++i) {
    const auto at = static_cast<std::size_t>(i);
    settings.mean[at] = i < kStraights ? mean[i] : speeds.mean[i - kStraights];
    for (int j = 0; j < kConstantCount; ++j) {
      double value = 0.0;  // straights and speeds share no run, so they share no uncertainty
      if (i < kStraights && j < kStraights) value = covariance(i, j);
      if (i >= kStraights && j >= kStraights)
        value = speeds.covariance(i - kStraights, j - kStraights);
      settings.covariance[at * kConstantCount + static_cast<std::size_t>(j)] = value;
    }
  }
  settings.scatter = {straights.scatter_per_mm(), speeds.distance_scatter, speeds.turn_scatter};
  return settings;
}

// Intervals in the units people read: gains out of their logarithms, turn gains in degrees.
std::array<Estimate, kConstantCount> intervals(const StraightPosterior& straights,
                                               const SpeedFit& speeds, double tail) {
  std::array<Estimate, kConstantCount> answer{};
  const double z = NormalMixture({{1.0, 0.0, 1.0}}).quantile(1.0 - tail);
  for (int i = 0; i < kConstantCount; ++i) {
    Estimate& e = answer[static_cast<std::size_t>(i)];
    if (i < internal::kStraightConstants) {
      const NormalMixture mixture = straights.constant(i);
      e = {mixture.mean(), mixture.quantile(tail), mixture.quantile(1.0 - tail)};
      continue;
    }
    const int s = i - internal::kStraightConstants;
    const double mean = speeds.mean[s];
    const double reach = z * std::sqrt(speeds.covariance(s, s));
    if (s == internal::kLogGain || s == internal::kLogLeft || s == internal::kLogRight) {
      const double unit = s == internal::kLogGain ? 1.0 : 180.0 / std::numbers::pi;
      e = {unit * std::exp(mean), unit * std::exp(mean - reach), unit * std::exp(mean + reach)};
    } else {
      e = {mean, mean - reach, mean + reach};
    }
  }
  return answer;
}

std::vector<Level> trued_levels(std::span<const Run> runs) {
  std::set<int> levels;
  for (const Run& run : runs) {
    if (!run.left_out && run.kind == RunKind::kStraight) levels.insert(run.level.value);
  }
  std::vector<Level> answer;
  for (const int value : levels) answer.push_back(Level{value});
  return answer;
}

std::vector<RunDrift> run_drifts(const Robot& robot,
                                 std::span<const StraightObservation> observations,
                                 const StraightPosterior& posterior,
                                 const std::vector<DoubtfulRun>& doubtful, double tail) {
  std::vector<RunDrift> drifts;
  const double scatter = posterior.scatter_per_mm() * robot.track_width.mm();
  for (const auto& o : observations) {
    const double sd = std::sqrt(o.noted().variance + scatter * scatter);
    const NormalMixture curvature(
        {{1.0, o.noted().mismatch / robot.track_width.mm(), sd / robot.track_width.mm()}});
    const bool doubt = std::any_of(doubtful.begin(), doubtful.end(),
                                   [&](const auto& d) { return d.row == o.row; });
    drifts.push_back({o.row, o.trim, o.level, drift_estimate(curvature, tail),
                      Angle::from_rad(o.aim_rad).deg(), doubt});
  }
  return drifts;
}

}  // namespace

const char* word_of(Verdict verdict) {
  switch (verdict) {
    case Verdict::kInTolerance:
      return "in-tolerance";
    case Verdict::kMoreRuns:
      return "more-runs";
    case Verdict::kCannotReach:
      return "cannot-reach";
  }
  return "";
}

Result<Truing> true_robot(const Robot& robot, std::span<const Run> runs,
                          const TruingOptions& options) {
  if (auto r = check_options(options); !r) return tl::unexpected(r.error());
  const internal::StraightPrior straight_prior = straight_prior_of(options);
  const internal::SpeedPrior speed_prior;
  const auto observations = internal::observe(robot, runs, straight_prior);
  const StraightPosterior posterior(robot, observations, straight_prior);
  const SpeedFit speeds = internal::fit_speeds(robot, runs, speed_prior);
  const double tail = tail_of(options);

  Truing truing;
  truing.best_trim = internal::best_trim_of(posterior, robot);
  const double tolerance = curvature_of_drift(options.tolerance_mm_per_m).per_mm();
  for (int t = robot.trim_range.lowest.value; t <= robot.trim_range.highest.value; ++t) {
    const NormalMixture curvature = posterior.curvature(robot.level_usual, Trim{t});
    truing.curve.push_back({Trim{t}, drift_estimate(curvature, tail), curvature.within(tolerance)});
    if (Trim{t} == truing.best_trim) {
      truing.drift_mm_per_m = truing.curve.back().drift_mm_per_m;
      truing.in_tolerance_probability = truing.curve.back().in_tolerance_probability;
    }
  }
  auto [verdict, reason] =
      internal::judge(robot, posterior, observations, truing.best_trim, options);
  truing.verdict = verdict;
  truing.reason = std::move(reason);
  if (verdict == Verdict::kMoreRuns) {
    truing.next_run =
        internal::next_straight(robot, posterior, observations, options, straight_prior);
  } else if (verdict == Verdict::kInTolerance) {
    truing.next_run =
        internal::next_distance(robot, speeds, truing.best_trim, options, speed_prior);
    if (!truing.next_run) {
      truing.next_run = internal::next_turn(robot, speeds, truing.best_trim, speed_prior);
    }
  }
  truing.doubtful_runs = internal::doubtful_runs(robot, runs, observations, posterior, speeds);
  truing.run_drifts = run_drifts(robot, observations, posterior, truing.doubtful_runs, tail);
  truing.settings = settings_of(posterior, speeds);
  truing.settings.assumed = assumed_constants(observations, runs);
  truing.settings.trim = truing.best_trim;
  truing.settings.trued_levels = trued_levels(runs);
  truing.constants = intervals(posterior, speeds, tail);
  return truing;
}

}  // namespace runtrue
