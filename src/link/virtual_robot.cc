#include "link/virtual_robot.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <utility>

#include "link/internal/rolling.h"
#include "robot/output.h"

namespace runtrue {
namespace {

constexpr double kStep_s = kRollingStep_s;
constexpr int kStepsPerPose = 5;
constexpr double kLongestRunDown_s = 1.0;

robot::Duties duties_of(const HiddenTruth& truth, const WheelCommand& command, Trim trim) {
  const robot::OutputRules rules{static_cast<std::uint16_t>(truth.robot.level_full.value),
                                 static_cast<std::int16_t>(truth.trim_share)};
  return robot::put_out(command.left.value, command.right.value,
                        static_cast<std::int16_t>(trim.value), rules);
}

}  // namespace

VirtualRobot::VirtualRobot(HiddenTruth truth) : truth_(std::move(truth)) {}

DrivenPath VirtualRobot::drive(const WheelCommand& command, Trim trim, Rng& rng,
                               const DriveExtras& extras) {
  Rolling rolling(truth_);
  rolling.begin(rng, extras.bumps);
  DrivenPath path;
  path.started = rolling.set(duties_of(truth_, command, trim), battery_);
  path.poses.push_back({});
  const int powered_steps = static_cast<int>(std::lround(command.milliseconds / (kStep_s * 1e3)));
  const int most_steps = powered_steps + static_cast<int>(kLongestRunDown_s / kStep_s);
  int steps = 0;
  bool taken = !path.started;
  while (!taken && steps < most_steps) {
    if (steps == powered_steps) rolling.set({0, 0}, battery_);
    if (steps >= powered_steps && rolling.stands()) break;
    rolling.step();
    ++steps;
    if (steps % kStepsPerPose == 0) {
      path.poses.push_back({steps * kStep_s, rolling.pose()});
      taken = extras.taken_away && extras.taken_away(rolling.pose());
    }
  }
  if (steps % kStepsPerPose != 0) path.poses.push_back({steps * kStep_s, rolling.pose()});
  drain(std::min(steps, powered_steps) * kStep_s);
  return path;
}

void VirtualRobot::drain(double on_s) {
  battery_ = std::max(battery_ - truth_.droop_per_s * on_s, 0.5);
}

Curvature VirtualRobot::true_curvature(Level level, Trim trim) const {
  const robot::Duties duties = duties_of(truth_, {level, level, 0}, trim);
  const double left = settled_speed(truth_.left, duties.left, battery_);
  const double right = settled_speed(truth_.right, duties.right, battery_);
  if (left == 0.0 || right == 0.0) return Curvature();
  const double track_mm = truth_.robot.track_width.mm() * truth_.rolling_track_ratio;
  return Curvature::from_per_mm(2.0 * (right - left) / (right + left) / track_mm);
}

Speed VirtualRobot::true_speed(Level level, Trim trim) const {
  const robot::Duties duties = duties_of(truth_, {level, level, 0}, trim);
  return Speed::from_mm_per_s((settled_speed(truth_.left, duties.left, battery_) +
                               settled_speed(truth_.right, duties.right, battery_)) /
                              2.0);
}

Trim VirtualRobot::true_best_trim(Level level) const {
  const auto [lowest, highest] = truth_.robot.trim_range;
  Trim best = lowest;
  for (Trim trim = lowest; trim <= highest; ++trim.value) {
    const auto bend = [&](Trim t) { return std::abs(true_curvature(level, t).per_mm()); };
    if (bend(trim) < bend(best)) best = trim;
  }
  return best;
}

namespace {

// One motor about the pair's common values; `difference` is this motor's half of the pair's
// top-speed difference.
HiddenMotor draw_motor(Rng& rng, const Population& population, const HiddenMotor& common,
                       double difference) {
  HiddenMotor motor = common;
  motor.top_speed_mm_per_s *= 1.0 + difference;
  const double dead_sd = population.dead_band_difference_sd / std::numbers::sqrt2;
  motor.dead_band = std::max(common.dead_band + normal(rng, 0.0, dead_sd), 0.02);
  motor.reverse_dead_band = std::max(motor.dead_band + normal(rng, 0.0, dead_sd), 0.02);
  motor.reverse_ratio =
      1.0 + normal(rng, 0.0, population.reverse_difference_sd / std::numbers::sqrt2);
  motor.saturation *= std::max(1.0 + normal(rng, 0.0, 0.04), 0.5);
  motor.spin_up_s *= std::max(1.0 + normal(rng, 0.0, 0.1), 0.5);
  motor.spin_down_s *= std::max(1.0 + normal(rng, 0.0, 0.1), 0.5);
  motor.start_lag_s *= std::max(1.0 + normal(rng, 0.0, 0.2), 0.2);
  motor.run_out = uniform(rng, 0.0, population.run_out_highest);
  return motor;
}

// The share that makes one count of trim change the mismatch at the usual level by `effect`.
int share_with_effect(HiddenTruth truth, double effect) {
  constexpr int kProbeShare = 100;
  truth.trim_share = kProbeShare;
  const VirtualRobot probe(truth);
  const auto bend = [&](int trim) {
    return probe.true_curvature(truth.robot.level_usual, {trim}).per_mm();
  };
  const double per_share =
      (bend(5) - bend(-5)) * truth.robot.track_width.mm() / (10.0 * kProbeShare);
  return std::max(static_cast<int>(std::lround(effect / per_share)), 1);
}

}  // namespace

HiddenTruth draw_hidden_truth(Rng& rng, const VirtualRobotOptions& options) {
  const Population& p = options.population;
  HiddenTruth truth;
  truth.robot = default_robot(options.name, options.track_width);
  HiddenMotor common;
  common.top_speed_mm_per_s =
      log_uniform(rng, p.top_speed_lowest_mm_per_s, p.top_speed_highest_mm_per_s);
  common.dead_band = uniform(rng, p.dead_band_lowest, p.dead_band_highest);
  common.start_extra = uniform(rng, p.start_extra_lowest, p.start_extra_highest);
  common.saturation = log_uniform(rng, p.saturation_lowest, p.saturation_highest);
  common.spin_up_s = log_uniform(rng, p.spin_up_lowest_s, p.spin_up_highest_s);
  common.spin_down_s = common.spin_up_s * uniform(rng, 0.3, 0.8);
  common.start_lag_s = uniform(rng, 0.005, 0.03);
  const double difference = normal(rng, 0.0, p.top_speed_difference_sd);
  truth.left = draw_motor(rng, p, common, -difference / 2.0);
  truth.right = draw_motor(rng, p, common, difference / 2.0);
  const double effect = log_uniform(rng, p.trim_effect_lowest, p.trim_effect_highest);
  truth.trim_share =
      share_with_effect(truth, effect) * (happens(rng, p.trim_to_the_left_probability) ? 1 : -1);
  truth.rolling_track_ratio = 1.0 + normal(rng, 0.0, p.track_ratio_sd);
  truth.scrub_ratio = uniform(rng, 1.0, 1.08);
  truth.droop_per_s = uniform(rng, 0.0, p.droop_highest_per_s);
  truth.chance.curvature_sd_per_mm =
      log_uniform(rng, p.curvature_sd_lowest_per_mm, p.curvature_sd_highest_per_mm);
  truth.chance.speed_ratio_sd = uniform(rng, 0.005, 0.015);
  truth.chance.turn_ratio_sd = uniform(rng, 0.01, 0.03);
  truth.chance.kick_sd_rad = log_uniform(rng, p.kick_sd_lowest_rad, p.kick_sd_highest_rad);
  return truth;
}

Population draw_set_population(Rng& rng, const Population& all) {
  Population set = all;
  const auto narrow = [&](double& lowest, double& highest) {
    constexpr double kWithin = 1.1;  // either way
    const double middle = log_uniform(rng, lowest, highest);
    lowest = middle / kWithin;
    highest = middle * kWithin;
  };
  narrow(set.dead_band_lowest, set.dead_band_highest);
  narrow(set.saturation_lowest, set.saturation_highest);
  narrow(set.top_speed_lowest_mm_per_s, set.top_speed_highest_mm_per_s);
  narrow(set.trim_effect_lowest, set.trim_effect_highest);
  set.trim_to_the_left_probability = happens(rng, all.trim_to_the_left_probability) ? 1.0 : 0.0;
  return set;
}

VirtualRobot draw_virtual_robot(Rng& rng, const VirtualRobotOptions& options) {
  return VirtualRobot(draw_hidden_truth(rng, options));
}

}  // namespace runtrue
