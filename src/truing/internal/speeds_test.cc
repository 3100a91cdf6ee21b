#include "truing/internal/speeds.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace runtrue::internal {
namespace {

using Vector = Eigen::Matrix<double, kSpeedConstants, 1>;
using Runs = std::vector<Run>;

Vector planted() {
  Vector c;
  c << std::log(2.2), 31.0, 0.09, std::log(0.0305), std::log(0.0298), 0.11;
  return c;
}

Run timed_straight(double seconds, double distance_mm, int level = 128) {
  Run run;
  run.level = Level{level};
  run.time = Duration::from_s(seconds);
  run.distance = Length::from_mm(distance_mm);
  return run;
}

Run timed_turn(double seconds, double rad) {
  Run run;
  run.kind = RunKind::kTurn;
  run.level = Level{128};
  run.time = Duration::from_s(seconds);
  run.turned = Angle::from_rad(rad);
  return run;
}

Robot even_robot() { return default_robot("Knot", Length::from_mm(140)); }

TEST(TimedRun, SlopesOfThePrediction_AgreeWithCentralDifferences) {
  for (const RunKind kind : {RunKind::kStraight, RunKind::kTurn}) {
    Timed run;
    run.kind = kind;
    run.level = 128;
    run.volts = 0.97;
    run.time_s = 2.5;
    if (kind == RunKind::kTurn) {
      run.gain = kLogRight;
      run.lost = kLostTurn;
    }
    const Prediction at = predict(planted(), run);
    const std::pair<int, double> slopes[] = {
        {run.gain, at.by_log_gain}, {kBand, at.by_band}, {run.lost, at.by_lost}};
    for (const auto& [index, slope] : slopes) {
      constexpr double kStep = 1e-5;  // error of the difference ~ step² of the value
      Vector up = planted(), down = planted();
      up[index] += kStep;
      down[index] -= kStep;
      const double difference = (predict(up, run).value - predict(down, run).value) / (2.0 * kStep);
      EXPECT_NEAR(difference, slope, 1e-8 * std::abs(slope)) << index;
    }
  }
}

TEST(TimedRun, WithinTheLostTimeOrTheDeadBand_MovesNothing) {
  Timed run;
  run.level = 128;
  run.time_s = 0.05;
  EXPECT_EQ(predict(planted(), run).value, 0.0);
  run.time_s = 2.0;
  run.level = 20;
  EXPECT_EQ(predict(planted(), run).value, 0.0);
}

TEST(SpeedFit, ManyExactRuns_GiveBackThePlantedConstants) {
  const Vector c = planted();
  Runs runs;
  for (const double seconds : {1.0, 2.0, 3.0, 4.0}) {
    for (const int level : {96, 128, 200}) {
      Timed t;
      t.level = level;
      t.time_s = seconds;
      runs.push_back(timed_straight(seconds, predict(c, t).value, level));
    }
    for (const bool left : {true, false}) {
      Timed t;
      t.kind = RunKind::kTurn;
      t.level = 128;
      t.time_s = seconds;
      t.gain = left ? kLogLeft : kLogRight;
      t.lost = kLostTurn;
      const double rad = predict(c, t).value;
      runs.push_back(timed_turn(seconds, left ? rad : -rad));
    }
  }
  const SpeedFit fit = fit_speeds(even_robot(), runs, {});
  // The priors still weigh a little: no further off than one of the fit's own sd.
  for (int i = 0; i < kSpeedConstants; ++i)
    EXPECT_LE(std::abs(fit.mean[i] - c[i]), std::sqrt(fit.covariance(i, i))) << i;
  Timed metre;
  metre.level = 128;
  metre.time_s = 2.5;
  EXPECT_NEAR(predict(fit.mean, metre).value / predict(c, metre).value, 1.0, 0.01);
}

TEST(SpeedFit, OneWildRunInTen_HardlyMovesTheAnswer) {
  Runs runs;
  for (int i = 0; i < 9; ++i)
    runs.push_back(timed_straight(2.0 + 0.25 * i, 210.0 * (1.9 + 0.25 * i)));
  const SpeedFit clean = fit_speeds(even_robot(), runs, {});
  runs.push_back(timed_straight(3.0, 1200.0));  // twice as far as the others say
  const SpeedFit wild = fit_speeds(even_robot(), runs, {});
  Timed three;
  three.level = 128;
  three.time_s = 3.0;
  const double moved = predict(wild.mean, three).value / predict(clean.mean, three).value - 1.0;
  EXPECT_LT(std::abs(moved), 0.02);  // a plain mean would move by 10 %
}

TEST(SpeedFit, HalfTheBatteryVoltage_HalvesTheSpeed) {
  Runs runs;
  for (const double volts : {4.8, 4.8, 4.0, 4.0, 4.8}) {
    runs.push_back(timed_straight(3.0, 600.0 * volts / 4.8));
    runs.back().battery_v = volts;
  }
  const SpeedFit fit = fit_speeds(even_robot(), runs, {});
  for (const SpeedResidual& r : fit.residuals) EXPECT_NEAR(r.predicted / r.observed, 1.0, 0.01);
}

TEST(SpeedFit, OneMoreTurn_LeavesLessUncertaintyThanThereWas) {
  const SpeedFit fit = fit_speeds(even_robot(), Runs{timed_turn(2.0, 6.0)}, {});
  SpeedFit after = fit;
  after.covariance = covariance_after(fit, even_robot(), TimedMove::kTurnRight, 4.0, {});
  const double round = 2.0 * std::numbers::pi;
  EXPECT_LT(move_variance(after, even_robot(), TimedMove::kTurnRight, round),
            0.2 * move_variance(fit, even_robot(), TimedMove::kTurnRight, round));
  EXPECT_LT(move_variance(after, even_robot(), TimedMove::kTurnLeft, round),
            move_variance(fit, even_robot(), TimedMove::kTurnLeft, round));
}

}  // namespace
}  // namespace runtrue::internal
