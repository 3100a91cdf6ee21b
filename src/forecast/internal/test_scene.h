// A table, a robot's settings and moves for the forecast's tests.
#pragma once

#include <cmath>
#include <string>

#include "forecast/forecast.h"

namespace runtrue::internal {

inline Point at_mm(double x, double y) { return {Length::from_mm(x), Length::from_mm(y)}; }

inline Pose pose(double x_mm, double y_mm, double deg) {
  return {Length::from_mm(x_mm), Length::from_mm(y_mm), Angle::from_deg(deg)};
}

inline Table trestle() {
  Table table;
  table.name = "trestle";
  table.edge = {at_mm(0, 0), at_mm(1520, 0), at_mm(1520, 760), at_mm(0, 760)};
  return table;
}

// At level 120: 100 mm/s straight on, 1.5708 rad/s on the spot, nothing lost and nothing in doubt.
inline DriveSettings sure_settings() {
  DriveSettings settings;
  const auto set = [&](Constant c, double value) {
    settings.mean[static_cast<std::size_t>(c)] = value;
  };
  set(Constant::kLogSpeedGain, std::log(1.0));
  set(Constant::kDeadBand, 20.0);
  set(Constant::kLogTurnGainLeft, std::log(0.015708));
  set(Constant::kLogTurnGainRight, std::log(0.015708));
  return settings;
}

inline void set_sd(DriveSettings& settings, Constant c, double sd) {
  const auto i = static_cast<std::size_t>(c);
  settings.covariance[i * kConstantCount + i] = sd * sd;
}

inline CompiledMove drive(int milliseconds) {
  return {"drive " + std::to_string(milliseconds) + " ms", 1, {{120}, {120}, milliseconds}, ""};
}

inline CompiledMove turn(int milliseconds, bool left) {
  return {
      left ? "turn left" : "turn right", 1,
      left ? WheelCommand{{-120}, {120}, milliseconds} : WheelCommand{{120}, {-120}, milliseconds},
      ""};
}

}  // namespace runtrue::internal
