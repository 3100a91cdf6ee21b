#include "drive/settings.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace runtrue {
namespace {

double at(const ConstantVector& constants, Constant c) {
  return constants[static_cast<std::size_t>(c)];
}

// s(u)/g: levels above the dead band, with the level's sign.
double working_level(const ConstantVector& constants, Level level) {
  const double above = std::max(std::abs(level.value) - at(constants, Constant::kDeadBand), 0.0);
  return level.value < 0 ? -above : above;
}

}  // namespace

const ConstantText& text_of(Constant constant) {
  static constexpr std::array<ConstantText, kConstantCount> kTexts{{
      {"mismatch_forward_ratio", "",
       "how much faster the right wheel runs than the left, forward, at the usual level and trim "
       "0"},
      {"mismatch_reverse_ratio", "", "the same in reverse"},
      {"mismatch_by_level_ratio", "",
       "how much that grows as the level falls towards half the usual level"},
      {"trim_effect_ratio_per_count", "per count", "how much one count of trim adds to it"},
      {"speed_gain_mm_per_s_per_level", "mm/s per level",
       "speed gained per level above the dead band"},
      {"dead_band_level", "levels", "the level below which the wheels stand still"},
      {"lost_time_straight_s", "s", "time at the start of a straight that moves nothing"},
      {"turn_gain_left_deg_per_s_per_level", "deg/s per level",
       "rate of a left turn on the spot per level above the dead band"},
      {"turn_gain_right_deg_per_s_per_level", "deg/s per level",
       "rate of a right turn on the spot per level above the dead band"},
      {"lost_time_turn_s", "s", "time at the start of a turn that moves nothing"},
  }};
  return kTexts[static_cast<std::size_t>(constant)];
}

double mismatch(const ConstantVector& constants, const Robot& robot, Level level, Trim trim) {
  const double usual = robot.level_usual.value;
  const double size = level.value == 0 ? usual : std::abs(level.value);
  const double base =
      at(constants, level.value < 0 ? Constant::kMismatchReverse : Constant::kMismatchForward);
  return base + at(constants, Constant::kMismatchByLevel) * (usual / size - 1.0) +
         at(constants, Constant::kTrimEffect) * trim.value;
}

Curvature straight_curvature(const ConstantVector& constants, const Robot& robot, Level level,
                             Trim trim) {
  return Curvature::from_per_mm(mismatch(constants, robot, level, trim) / robot.track_width.mm());
}

namespace {

Motion motion_of(const ConstantVector& constants, const Gains& gains, const Robot& robot,
                 const WheelCommand& command, Trim trim) {
  const double left = working_level(constants, command.left);
  const double right = working_level(constants, command.right);
  const double speed_mm_per_s = gains.speed * (left + right) / 2.0;
  double turn_rad_per_s =
      (right >= left ? gains.turn_left : gains.turn_right) * (right - left) / 2.0;
  const Level mean_level{(command.left.value + command.right.value) / 2};
  if (speed_mm_per_s != 0.0) {
    turn_rad_per_s +=
        mismatch(constants, robot, mean_level, trim) * speed_mm_per_s / robot.track_width.mm();
  }
  const bool on_the_spot = command.left.value == -command.right.value;
  const double lost_s =
      at(constants, on_the_spot ? Constant::kLostTimeTurn : Constant::kLostTimeStraight);
  return {Speed::from_mm_per_s(speed_mm_per_s), TurnRate::from_rad_per_s(turn_rad_per_s),
          Duration::from_s(std::max(lost_s, 0.0))};
}

}  // namespace

Gains gains_of(const ConstantVector& constants) {
  return {std::exp(at(constants, Constant::kLogSpeedGain)),
          std::exp(at(constants, Constant::kLogTurnGainLeft)),
          std::exp(at(constants, Constant::kLogTurnGainRight))};
}

Motion motion_of(const ConstantVector& constants, const Robot& robot, const WheelCommand& command,
                 Trim trim) {
  return motion_of(constants, gains_of(constants), robot, command, trim);
}

Arc arc_of(const ConstantVector& constants, const Gains& gains, const Robot& robot,
           const WheelCommand& command, Trim trim) {
  const Motion motion = motion_of(constants, gains, robot, command, trim);
  const Duration counts =
      std::max(Duration::from_ms(command.milliseconds) - motion.lost, Duration());
  return {motion.speed * counts, motion.turn_rate * counts};
}

Arc arc_of(const ConstantVector& constants, const Robot& robot, const WheelCommand& command,
           Trim trim) {
  return arc_of(constants, gains_of(constants), robot, command, trim);
}

}  // namespace runtrue
