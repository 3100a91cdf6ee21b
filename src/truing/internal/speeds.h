// From timed straights and turns to speed gain, turn gains, dead band and lost times.
//
// Nonlinear least squares over six constants with priors, heavy-tailed by reweighting (Student t, 4
// degrees of freedom: one wild run in ten hardly moves the answer), scatter estimated with a prior.
// Predictions:
//   distance = g·(|u| − d)·(V/V_ref)·(T − T0),   turn = h·(|u| − d)·(V/V_ref)·(T − T0s),
// V_ref being the median of the noted voltages; runs without a voltage count as V_ref.
#pragma once

#include <Eigen/Core>
#include <array>
#include <span>
#include <vector>

#include "drive/robot.h"
#include "truing/run.h"

namespace runtrue::internal {

// The six constants in this order: ln g, d, T0, ln h left, ln h right, T0s.
inline constexpr int kSpeedConstants = 6;
enum SpeedIndex { kLogGain, kBand, kLost, kLogLeft, kLogRight, kLostTurn };

// A timed run as the fit sees it.
struct Timed {
  int row = 0;
  RunKind kind = RunKind::kStraight;
  double level = 0.0;  // size
  double volts = 1.0;  // V/V_ref
  double time_s = 0.0;
  double observed = 0.0;  // mm, or rad without sign
  SpeedIndex gain = kLogGain;
  SpeedIndex lost = kLost;
};

// What the constants say of it, mm or rad, and the slopes by the three of them it hangs on.
struct Prediction {
  double value = 0.0, by_log_gain = 0.0, by_band = 0.0, by_lost = 0.0;
};
[[nodiscard]] Prediction predict(const Eigen::Matrix<double, kSpeedConstants, 1>& constants,
                                 const Timed& t);

// Before any run; arbitrary where no source is named, wide on purpose.
struct SpeedPrior {
  double speed_at_usual_mm_per_s = 200.0;  // of a 65 mm wheel; goes with the wheel's diameter
  double log_speed_sd = 0.6;
  double dead_band_part =
      0.12;  // of the full level; 0.16-0.27 on one public pair of motors, less on others [Mot6]
  double dead_band_part_sd = 0.07;
  double lost_s = 0.08;
  double lost_sd_s = 0.06;
  double log_turn_sd = 0.12;           // h against 2g/b: wheels scrub in a turn
  double log_sides_sd = 0.08;          // right against left
  double lost_difference_sd_s = 0.05;  // T0s against T0
  double distance_tape_sd_mm = 3.0;
  double turn_reading_sd_rad = 0.035;  // 2 degrees
  double distance_scatter = 0.02;      // sd as a part of the distance
  double turn_scatter = 0.02;
  double scatter_prior_runs = 6.0;  // what the two priors above weigh
};

struct SpeedResidual {
  int row = 0;
  RunKind kind = RunKind::kStraight;
  double observed = 0.0;  // mm or rad
  double predicted = 0.0;
  double sd = 0.0;
};

struct SpeedFit {
  Eigen::Matrix<double, kSpeedConstants, 1> mean;
  Eigen::Matrix<double, kSpeedConstants, kSpeedConstants> covariance;
  double distance_scatter = 0.0;
  double turn_scatter = 0.0;
  std::vector<SpeedResidual> residuals;  // one for each run used
};

[[nodiscard]] SpeedFit fit_speeds(const Robot& robot, std::span<const Run> runs,
                                  const SpeedPrior& prior);

// A timed move at the usual level, forward.
enum class TimedMove { kStraight, kTurnLeft, kTurnRight };

// Its rate by the fit's mean once it moves: mm/s or rad/s, above 0.
[[nodiscard]] double usual_rate(const SpeedFit& fit, const Robot& robot, TimedMove move);

// Variance of such a move of `size` (mm or rad, > 0), commanded by the fit's own mean: what the
// constants leave open, without the scatter of the single move.
[[nodiscard]] double move_variance(const SpeedFit& fit, const Robot& robot, TimedMove move,
                                   double size);

// The fit's covariance after one more run of `time_s`.
[[nodiscard]] Eigen::Matrix<double, kSpeedConstants, kSpeedConstants> covariance_after(
    const SpeedFit& fit, const Robot& robot, TimedMove move, double time_s,
    const SpeedPrior& prior);

}  // namespace runtrue::internal
