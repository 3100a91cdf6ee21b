#include "truing/internal/speeds.h"

#include <algorithm>
#include <cmath>

#include "truing/least_squares.h"
#include "units/result.h"

namespace runtrue::internal {
namespace {

using Vector = Eigen::Matrix<double, kSpeedConstants, 1>;
using Matrix = Eigen::Matrix<double, kSpeedConstants, kSpeedConstants>;

std::vector<Timed> timed_runs(std::span<const Run> runs) {
  std::vector<double> volts;
  for (const Run& run : runs) {
    if (!run.left_out && run.battery_v) volts.push_back(*run.battery_v);
  }
  double reference = 1.0;
  if (!volts.empty()) {
    std::nth_element(volts.begin(), volts.begin() + static_cast<std::ptrdiff_t>(volts.size() / 2),
                     volts.end());
    reference = volts[volts.size() / 2];
  }
  std::vector<Timed> timed;
  for (const Run& run : runs) {
    if (run.left_out || !run.time) continue;
    Timed t;
    t.row = run.row;
    t.kind = run.kind;
    t.level = std::abs(run.level.value);
    t.volts = run.battery_v ? *run.battery_v / reference : 1.0;
    t.time_s = run.time->s();
    if (run.kind == RunKind::kStraight && run.distance) {
      t.observed = run.distance->mm();
    } else if (run.kind == RunKind::kTurn && run.turned) {
      t.observed = std::abs(run.turned->rad());
      t.gain = run.turned->rad() >= 0.0 ? kLogLeft : kLogRight;
      t.lost = kLostTurn;
    } else {
      continue;
    }
    timed.push_back(t);
  }
  return timed;
}

// Linear priors as rows: (row·constants − value)/sd.
struct PriorRow {
  std::array<double, kSpeedConstants> row{};
  double value = 0.0, sd = 1.0;
};

constexpr int kPriorRows = 7;

// ln of the working level at the usual level is taken at the prior's dead band: the product with
// the gain is what the prior speaks of, and the dead band's own prior covers the rest.
std::array<PriorRow, kPriorRows> prior_rows(const Robot& robot, const SpeedPrior& prior) {
  const double band = prior.dead_band_part * robot.level_full.value;
  const double working = std::max(robot.level_usual.value - band, 0.25 * robot.level_usual.value);
  const double log_gain =
      std::log(prior.speed_at_usual_mm_per_s * robot.wheel_diameter.mm() / 65.0 / working);
  const double log_turn = std::log(2.0 / robot.track_width.mm());
  const double top_band = std::min(band, 0.75 * robot.level_usual.value);
  return {{{{1, 0, 0, 0, 0, 0}, log_gain, prior.log_speed_sd},
           {{0, 1, 0, 0, 0, 0}, top_band, prior.dead_band_part_sd * robot.level_full.value},
           {{0, 0, 1, 0, 0, 0}, prior.lost_s, prior.lost_sd_s},
           {{-1, 0, 0, 1, 0, 0}, log_turn, prior.log_turn_sd},
           {{0, 0, 0, -1, 1, 0}, 0.0, prior.log_sides_sd},
           {{0, 0, 0, 0, 0, 1}, prior.lost_s, prior.lost_sd_s},
           {{0, 0, -1, 0, 0, 1}, 0.0, prior.lost_difference_sd_s}}};
}

double reading_sd(const Timed& t, double predicted, double scatter, const SpeedPrior& prior) {
  const double reading =
      t.kind == RunKind::kStraight ? prior.distance_tape_sd_mm : prior.turn_reading_sd_rad;
  return std::hypot(reading, scatter * predicted);
}

}  // namespace

Prediction predict(const Vector& c, const Timed& t) {
  const double gain = std::exp(c[t.gain]) * t.volts;
  const double above = std::max(t.level - c[kBand], 0.0);
  const double counts = std::max(t.time_s - c[t.lost], 0.0);
  return {gain * above * counts, gain * above * counts, above > 0.0 ? -gain * counts : 0.0,
          counts > 0.0 ? -gain * above : 0.0};
}

SpeedFit fit_speeds(const Robot& robot, std::span<const Run> runs, const SpeedPrior& prior) {
  const std::vector<Timed> timed = timed_runs(runs);
  const auto priors = prior_rows(robot, prior);
  const int count = static_cast<int>(timed.size());
  std::vector<double> weights(timed.size(), 1.0);
  std::vector<double> sds(timed.size(), 1.0);

  Eigen::VectorXd constants(kSpeedConstants);
  constants << priors[0].value, priors[1].value, prior.lost_s, priors[0].value + priors[3].value,
      priors[0].value + priors[3].value, prior.lost_s;
  double distance_scatter = prior.distance_scatter;
  double turn_scatter = prior.turn_scatter;

  const ResidualFunction residuals = [&](const Eigen::VectorXd& p, Eigen::VectorXd& r,
                                         Eigen::MatrixXd* j) {
    if (j != nullptr) j->setZero();
    for (int i = 0; i < count; ++i) {
      const auto at = static_cast<std::size_t>(i);
      const double scale = std::sqrt(weights[at]) / sds[at];
      const Prediction predicted = predict(p, timed[at]);
      r[i] = (predicted.value - timed[at].observed) * scale;
      if (j == nullptr) continue;
      (*j)(i, timed[at].gain) = predicted.by_log_gain * scale;
      (*j)(i, kBand) = predicted.by_band * scale;
      (*j)(i, timed[at].lost) = predicted.by_lost * scale;
    }
    for (int i = 0; i < kPriorRows; ++i) {
      const PriorRow& row = priors[static_cast<std::size_t>(i)];
      const Eigen::Map<const Vector> direction(row.row.data());
      r[count + i] = (direction.dot(p) - row.value) / row.sd;
      if (j != nullptr) j->row(count + i) = direction.transpose() / row.sd;
    }
    return true;
  };

  LeastSquaresSummary summary;
  constexpr int kRounds = 8;  // of reweighting; weights settle to a percent in five
  constexpr double kDegreesOfFreedom = 4.0;
  for (int round = 0; round < kRounds; ++round) {
    for (int i = 0; i < count; ++i) {
      const auto at = static_cast<std::size_t>(i);
      // The first round weighs a relative scatter by the reading itself: the prior's prediction may
      // be far off.
      const double size = round == 0 ? timed[at].observed : predict(constants, timed[at]).value;
      sds[at] =
          reading_sd(timed[at], size,
                     timed[at].kind == RunKind::kStraight ? distance_scatter : turn_scatter, prior);
      const double off =
          round == 0 ? 0.0 : (predict(constants, timed[at]).value - timed[at].observed) / sds[at];
      weights[at] = round == 0 ? 1.0 : (kDegreesOfFreedom + 1.0) / (kDegreesOfFreedom + off * off);
    }
    summary = least_squares(residuals, count + kPriorRows, constants,
                            {.most_steps = 50, .smallest_step = 1e-9});
    RUNTRUE_CHECK(summary.rank == kSpeedConstants);  // the priors alone make it so
    constants = summary.parameters;
    double sums[2] = {0.0, 0.0};
    double counts[2] = {0.0, 0.0};
    for (int i = 0; i < count; ++i) {
      const auto at = static_cast<std::size_t>(i);
      const auto kind = static_cast<std::size_t>(timed[at].kind == RunKind::kTurn);
      const double predicted = std::max(predict(constants, timed[at]).value, 1e-6);
      const double reading = timed[at].kind == RunKind::kStraight ? prior.distance_tape_sd_mm
                                                                  : prior.turn_reading_sd_rad;
      const double off = predicted - timed[at].observed;
      sums[kind] +=
          weights[at] * std::max(off * off - reading * reading, 0.0) / (predicted * predicted);
      counts[kind] += 1.0;
    }
    const double before = prior.scatter_prior_runs;
    distance_scatter =
        std::sqrt((before * prior.distance_scatter * prior.distance_scatter + sums[0]) /
                  (before + counts[0]));
    turn_scatter = std::sqrt((before * prior.turn_scatter * prior.turn_scatter + sums[1]) /
                             (before + counts[1]));
  }

  SpeedFit fit;
  fit.mean = constants;
  fit.covariance = summary.covariance;
  fit.distance_scatter = distance_scatter;
  fit.turn_scatter = turn_scatter;
  for (std::size_t i = 0; i < timed.size(); ++i) {
    fit.residuals.push_back({timed[i].row, timed[i].kind, timed[i].observed,
                             predict(fit.mean, timed[i]).value, sds[i]});
  }
  return fit;
}

namespace {

Timed at_usual(const Robot& robot, TimedMove move, double time_s) {
  Timed t;
  t.level = robot.level_usual.value;
  t.time_s = time_s;
  if (move != TimedMove::kStraight) {
    t.kind = RunKind::kTurn;
    t.gain = move == TimedMove::kTurnLeft ? kLogLeft : kLogRight;
    t.lost = kLostTurn;
  }
  return t;
}

Vector slope_of(const Vector& constants, const Timed& t) {
  const Prediction p = predict(constants, t);
  Vector slope = Vector::Zero();
  slope[t.gain] = p.by_log_gain;
  slope[kBand] = p.by_band;
  slope[t.lost] = p.by_lost;
  return slope;
}

}  // namespace

double usual_rate(const SpeedFit& fit, const Robot& robot, TimedMove move) {
  const Timed t = at_usual(robot, move, 0.0);
  return std::exp(fit.mean[t.gain]) * std::max(t.level - fit.mean[kBand], 1.0);
}

double move_variance(const SpeedFit& fit, const Robot& robot, TimedMove move, double size) {
  Timed t = at_usual(robot, move, 0.0);
  t.time_s = size / usual_rate(fit, robot, move) + fit.mean[t.lost];
  const Vector slope = slope_of(fit.mean, t);
  return slope.dot(fit.covariance * slope);
}

Matrix covariance_after(const SpeedFit& fit, const Robot& robot, TimedMove move, double time_s,
                        const SpeedPrior& prior) {
  const Timed run = at_usual(robot, move, time_s);
  const Vector slope = slope_of(fit.mean, run);
  const double scatter = run.kind == RunKind::kTurn ? fit.turn_scatter : fit.distance_scatter;
  const double own = reading_sd(run, predict(fit.mean, run).value, scatter, prior);
  const Vector shared = fit.covariance * slope;
  return fit.covariance - shared * shared.transpose() / (slope.dot(shared) + own * own);
}

}  // namespace runtrue::internal
