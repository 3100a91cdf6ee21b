// What a robot is loaded with, made from its description, its settings and its moves: the bytes of
// the parts of robot/parts.h. Computes; the line is robot_link.h.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "drive/robot.h"
#include "drive/settings.h"
#include "moves/compile.h"
#include "robot/parts.h"
#include "truing/truing.h"
#include "units/result.h"

namespace runtrue {

struct RobotLoadOptions {
  bool trim_from_pot = false;              // the robot's own potentiometer, not the loaded trim
  Duration rest = Duration::from_ms(300);  // standing still between two moves, 0..5 s
  Duration longest_run = Duration::from_s(120);  // 1..600 s
  Duration repeat_period;     // of the remote's repeat frames without address; 0: none counts
  int lowest_battery_mv = 0;  // below it nothing runs; 0: any
};

using PartBytes = std::vector<std::uint8_t>;

// A name as the robot keeps it: at most 16 bytes, cut at a whole character.
[[nodiscard]] std::string kept_name(const std::string& name);

// The settings part. One press is the robot's `press`, compiled at the usual level. Errors (bad
// input): levels beyond 32767, a press that takes over 65 s or can't be compiled.
[[nodiscard]] Result<PartBytes> settings_part(const Robot& robot, const DriveSettings& settings,
                                              const RobotLoadOptions& options = {});

// The moves part. Errors (bad input, with the move's line): more moves than the robot keeps, a move
// over 65 s. A pause that long is divided.
[[nodiscard]] Result<PartBytes> moves_part(const std::vector<CompiledMove>& moves);

// Runs to be made one after the other, as many as `count`, the advised one first: straights at
// trims about the best one, then a turn to each side. 1 <= count <= 8.
[[nodiscard]] std::vector<NextRun> plan_trials(const Robot& robot, const Truing& truing, int count);

// The trials part. A straight runs until it is surely behind its line; errors as above.
[[nodiscard]] Result<PartBytes> trials_part(const Robot& robot, const DriveSettings& settings,
                                            std::span<const NextRun> runs);

}  // namespace runtrue
