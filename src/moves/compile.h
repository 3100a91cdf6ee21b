// From moves to what the robot is told: levels and milliseconds by this robot's settings.
//
// Each move becomes one timed command, the inverse of the drive model of drive/settings.h at its
// mean constants and best trim:
//   drive, reverse   both wheels at the current level; T = T0 + s/|v|
//   turn             the wheels opposed at the current level; T = T0s + a/|w|
//   bend             two levels whose mean is the current one to within half a level, and whose
//                    curvature w/v is nearest to 1/radius; T = T0 + a/|w|
//   pause            both levels 0
// with v and w the speed and rate of turn of `motion_of`, rounded to whole milliseconds. A move by
// time keeps its time. So `arc_of` the command is the move that was asked for, but for the
// rounding: half a millisecond of way or turn, and for a bend half a step of the levels'
// difference.
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
  std::string text;      // the move in its fixed form, without comment: "turn left 90 deg"
  int line = 0;          // in the move list's text
  WheelCommand command;  // before trim
  std::string untrued;   // "" or why the forecast is less sure: "level 160 was never measured"
  Arc asked{};  // what the list asks for; of a move by time what the mean constants make of it
};

// How far a bend's radius may be off, as a part of the radius asked for, where levels are coarse
// against a wide radius. Arbitrary: about what a tape laid along a bend tells apart.
inline constexpr double kRadiusTolerance_ratio = 0.1;

// Error (bad input, with line and column): a level beyond the robot's full level or within its dead
// band; a bend so tight that its inner wheel would come into the dead band or its outer one beyond
// the full level; a bend so wide that whole levels miss its radius by more than
// kRadiusTolerance_ratio; a time that rounds to 0 or is over an hour. The levels start at the
// robot's usual level. Time linear in the moves.
[[nodiscard]] Result<std::vector<CompiledMove>> compile_moves(const std::vector<FlatMove>& moves,
                                                              const Robot& robot,
                                                              const DriveSettings& settings);

}  // namespace runtrue
