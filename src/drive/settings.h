// The drive model: what a level and a trim do to a robot, as ten constants with their uncertainty,
// and how a timed wheel command becomes an exact arc.
//
// Model (docs/design.md, "The drive model"), with u a level, u_ref the robot's usual level, d the
// dead band, b the track width:
//   wheel speed as commanded   s(u) = sign(u)·g·max(|u| − d, 0)·(V/V_ref)
//   mismatch                   m(u,t) = m0 + m1·(u_ref/|u| − 1) + k·t     (m0 another one in
//   reverse) speed of the midpoint      v = (s_L + s_R)/2 rate of turn               w = (s_R −
//   s_L)·h/(2g)  +  m·v/b time that counts           T − T0 (straight and bends), T − T0s (turns on
//   the spot), never below 0
// so a straight bends with curvature m/b, and a turn on the spot turns at h·(|u| − d); h has its
// own value to the left and to the right. This holds from the dead band upward, for one battery
// voltage unless noted; measured motors differ by level and direction [Mot6], which is why m0 is
// kept apart in reverse and m1 exists.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "drive/pose.h"
#include "drive/robot.h"
#include "units/quantity.h"

namespace runtrue {

// Which constant; also its place in the vector and the covariance of `DriveSettings`.
enum class Constant {
  kMismatchForward,   // m0 forward at the usual level and trim 0, ratio
  kMismatchReverse,   // m0 in reverse, ratio
  kMismatchByLevel,   // m1, ratio
  kTrimEffect,        // k, ratio per trim count; sign unknown before runs
  kLogSpeedGain,      // ln(g / (mm/s per level))
  kDeadBand,          // d, levels
  kLostTimeStraight,  // T0, s
  kLogTurnGainLeft,   // ln(h / (rad/s per level))
  kLogTurnGainRight,  // the same to the right
  kLostTimeTurn,      // T0s, s
};
inline constexpr int kConstantCount = 10;

// Name of the constant in files and in the JSON answers, with its unit, and one sentence on what it
// means.
struct ConstantText {
  const char* key;      // as in `runtrue settings --json`: "mismatch_forward_ratio"
  const char* unit;     // as shown to a person: "mm/s per level"; "" for a ratio
  const char* meaning;  // "how much faster the right wheel runs than the left, forward, at the
                        // usual level and trim 0"
};
[[nodiscard]] const ConstantText& text_of(Constant constant);

using ConstantVector = std::array<double, kConstantCount>;

// The chance that remains from run to run, one standard deviation each.
struct DriveScatter {
  double curvature_per_mm = 0.0;  // of a straight or bend
  double distance_ratio = 0.0;    // of a distance, as a part of it
  double turn_ratio = 0.0;        // of a turn on the spot, as a part of it
};

// What is known of a robot's constants: mean and covariance (row-major, of the vector above), the
// scatter, which of them no run told about, and the trim and levels it was trued at. Plain data:
// made by truing, used by moves and forecast.
struct DriveSettings {
  ConstantVector mean{};
  std::array<double, kConstantCount * kConstantCount> covariance{};
  DriveScatter scatter;
  std::vector<Constant> assumed;    // from the description or a prior alone
  Trim trim;                        // the best trim found
  std::vector<Level> trued_levels;  // signed levels (direction!) that runs told about, ascending

  [[nodiscard]] double of(Constant c) const { return mean[static_cast<std::size_t>(c)]; }
  [[nodiscard]] double variance(Constant a, Constant b) const {
    return covariance[static_cast<std::size_t>(a) * kConstantCount + static_cast<std::size_t>(b)];
  }
};

// A timed command to both wheels as the robot takes it, before its trim acts.
struct WheelCommand {
  Level left;
  Level right;
  int milliseconds = 0;
};

// m(u,t) of the model; `level` is signed, 0 counts as the usual level forward.
[[nodiscard]] double mismatch(const ConstantVector& constants, const Robot& robot, Level level,
                              Trim trim);

// The path curvature of a straight at that level and trim: m/b.
[[nodiscard]] Curvature straight_curvature(const ConstantVector& constants, const Robot& robot,
                                           Level level, Trim trim);

// Speed of the midpoint and rate of turn while a command lasts, and the lost time at its start.
struct Motion {
  Speed speed;
  TurnRate turn_rate;
  Duration lost;
};
[[nodiscard]] Motion motion_of(const ConstantVector& constants, const Robot& robot,
                               const WheelCommand& command, Trim trim);

// g and h of the model, for those who ask for many commands of one robot.
struct Gains {
  double speed, turn_left, turn_right;
};
[[nodiscard]] Gains gains_of(const ConstantVector& constants);

// The exact arc of a whole command. A command within the dead band or within the lost time moves
// nothing.
[[nodiscard]] Arc arc_of(const ConstantVector& constants, const Robot& robot,
                         const WheelCommand& command, Trim trim);
[[nodiscard]] Arc arc_of(const ConstantVector& constants, const Gains& gains, const Robot& robot,
                         const WheelCommand& command, Trim trim);

}  // namespace runtrue
