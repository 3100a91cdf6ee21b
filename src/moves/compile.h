// From moves to what the robot is told: levels and milliseconds by this robot's settings.
#pragma once

#include <string>
#include <vector>

#include "drive/robot.h"
#include "drive/settings.h"
#include "moves/move_list.h"
#include "units/result.h"

namespace runtrue {

// One command of the compiled list. AtLevel changes the level of later moves and makes no command;
// a pause is a command with both levels 0.
struct CompiledMove {
  std::string text;      // the move as written, without comment: "turn left 90 deg"
  int line = 0;          // in the move list's text
  WheelCommand command;  // before trim
  std::string untrued;   // "" or why the forecast is less sure: "level 160 was never measured"
};

// Error (bad input, with line): a level beyond the robot's full level or within its dead band; a
// bend tighter than half the track width's wheel can follow at that level; a time that rounds to 0
// or is over an hour.
[[nodiscard]] Result<std::vector<CompiledMove>> compile_moves(const std::vector<FlatMove>& moves,
                                                              const Robot& robot,
                                                              const DriveSettings& settings);

}  // namespace runtrue
