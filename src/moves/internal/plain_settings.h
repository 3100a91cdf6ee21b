// A robot of round numbers for the tests of compiled lists: 4 mm/s and 3 deg/s (left; 3.2 right)
// per level above a dead band of 28, so 400 mm/s and 300 deg/s at its usual level of 128; 50 ms
// lost on straights, 40 ms on turns.
#pragma once

#include <cmath>

#include "drive/robot.h"
#include "drive/settings.h"

namespace runtrue::moves_internal {

inline Robot plain_robot() { return default_robot("Knot", Length::from_mm(140)); }

inline void set(DriveSettings& settings, Constant c, double value) {
  settings.mean[static_cast<std::size_t>(c)] = value;
}

inline DriveSettings plain_settings() {
  DriveSettings settings;
  set(settings, Constant::kLogSpeedGain, std::log(4.0));
  set(settings, Constant::kDeadBand, 28.0);
  set(settings, Constant::kLostTimeStraight, 0.050);
  set(settings, Constant::kLogTurnGainLeft, std::log(Angle::from_deg(3.0).rad()));
  set(settings, Constant::kLogTurnGainRight, std::log(Angle::from_deg(3.2).rad()));
  set(settings, Constant::kLostTimeTurn, 0.040);
  settings.trued_levels = {Level{-128}, Level{128}};
  return settings;
}

}  // namespace runtrue::moves_internal
