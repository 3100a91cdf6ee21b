#include "link/internal/rolling.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <utility>

namespace runtrue {
namespace {

constexpr double kStandsBelow_mm_per_s = 0.5;
constexpr double kKickWay_mm = 15.0;  // over which the castors swing round

double part_of_full(int duty) { return std::abs(duty) / static_cast<double>(robot::kFullDuty); }

bool gets_going(const HiddenMotor& motor, int duty, double battery) {
  const double dead = duty < 0 ? motor.reverse_dead_band : motor.dead_band;
  return duty != 0 && part_of_full(duty) >= dead / battery + motor.start_extra;
}

}  // namespace

double settled_speed(const HiddenMotor& motor, int duty, double battery) {
  const bool back = duty < 0;
  const double part = part_of_full(duty);
  const double dead = (back ? motor.reverse_dead_band : motor.dead_band) / battery;
  if (part <= dead) return 0.0;
  const double x = (part - dead) / (1.0 - dead);
  const double c = motor.saturation;
  const double top = motor.top_speed_mm_per_s * battery * (back ? motor.reverse_ratio : 1.0);
  const double speed = top * (1.0 + c) * x / (1.0 + c * x);
  return back ? -speed : speed;
}

void RollingWheel::begin(double phase) {
  phase_ = phase;
  angle_ = 0.0;
}

bool RollingWheel::set(int duty, double battery) {
  const bool turns = !stands();
  if (duty != 0 && !powered_ && !turns) steps_ = 0;
  powered_ = duty != 0;
  settled_ = powered_ && (turns || gets_going(motor_, duty, battery))
                 ? settled_speed(motor_, duty, battery)
                 : 0.0;
  return turns || settled_ != 0.0;
}

double RollingWheel::step() {
  if (powered_ && steps_++ * kRollingStep_s < motor_.start_lag_s) return 0.0;
  const double constant_s = powered_ ? motor_.spin_up_s : motor_.spin_down_s;
  speed_ += (settled_ - speed_) * (1.0 - std::exp(-kRollingStep_s / constant_s));
  angle_ += speed_ * kRollingStep_s / radius_mm_;
  return speed_ * (1.0 + motor_.run_out * std::cos(angle_ + phase_));
}

bool RollingWheel::stands() const { return std::abs(speed_) < kStandsBelow_mm_per_s; }

Rolling::Rolling(const HiddenTruth& truth)
    : truth_(truth),
      left_(truth.left, truth.robot.wheel_diameter.mm()),
      right_(truth.right, truth.robot.wheel_diameter.mm()) {}

void Rolling::begin(Rng& rng, std::vector<Bump> bumps) {
  const HiddenChance& chance = truth_.chance;
  chance_.curvature_per_mm = normal(rng, 0.0, chance.curvature_sd_per_mm);
  chance_.speed_ratio = 1.0 + normal(rng, 0.0, chance.speed_ratio_sd);
  chance_.turn_ratio = 1.0 + normal(rng, 0.0, chance.turn_ratio_sd);
  chance_.kick_rad = normal(rng, 0.0, chance.kick_sd_rad);
  left_.begin(uniform(rng, 0.0, 2.0 * std::numbers::pi));
  right_.begin(uniform(rng, 0.0, 2.0 * std::numbers::pi));
  bumps_ = std::move(bumps);
  rolled_mm_ = 0.0;
}

bool Rolling::set(const robot::Duties& duties, double battery) {
  const bool left = left_.set(duties.left, battery);
  const bool right = right_.set(duties.right, battery);
  return left || right;
}

void Rolling::step() {
  const double left = left_.step();
  const double right = right_.step();
  move(left * chance_.speed_ratio, right * chance_.speed_ratio);
}

// Moves the robot by the two wheels' speeds, with this run's chance and whatever bumps into it.
void Rolling::move(double left, double right) {
  const double way_mm = (left + right) / 2.0 * kRollingStep_s;
  const double rim_mm = (std::abs(left) + std::abs(right)) / 2.0 * kRollingStep_s;
  // 0 rolling straight, 1 on the spot: how far the tyres scrub.
  const double on_the_spot = rim_mm > 0.0 ? 1.0 - std::min(std::abs(way_mm) / rim_mm, 1.0) : 0.0;
  const double rolling_mm = truth_.robot.track_width.mm() * truth_.rolling_track_ratio;
  const double track_mm = rolling_mm * (1.0 + (truth_.scrub_ratio - 1.0) * on_the_spot);
  double turn = (right - left) * kRollingStep_s / track_mm;
  turn *= 1.0 + (chance_.turn_ratio - 1.0) * on_the_spot;
  turn += chance_.curvature_per_mm * way_mm;
  turn += chance_.kick_rad * kick_part(rim_mm);
  turn += bump_turn(rim_mm);
  pose_ = compose(pose_, pose_after({Length::from_mm(way_mm), Angle::from_rad(turn)}));
  rolled_mm_ += rim_mm;
}

double Rolling::kick_part(double rim_mm) const {
  const double before = std::min(rolled_mm_, kKickWay_mm);
  const double after = std::min(rolled_mm_ + rim_mm, kKickWay_mm);
  return (after - before) / kKickWay_mm;
}

double Rolling::bump_turn(double rim_mm) const {
  double turn = 0.0;
  for (const Bump& bump : bumps_) {
    const bool now = rolled_mm_ <= bump.at_distance_mm && bump.at_distance_mm < rolled_mm_ + rim_mm;
    if (now) turn += bump.heading_rad;
  }
  return turn;
}

}  // namespace runtrue
