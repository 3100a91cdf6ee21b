#include "link/robot_load.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <utility>

#include "moves/move_list.h"
#include "robot/output.h"

namespace runtrue {
namespace {

constexpr int kHighestLevel_of_chip = 32767;
constexpr int kLongest_ms = 65535;

template <class T>
void append_part(PartBytes& bytes, const T& value) {
  const auto* first = reinterpret_cast<const std::uint8_t*>(&value);
  bytes.insert(bytes.end(), first, first + sizeof value);
}

// How long one press takes.
Result<std::uint16_t> press_ms(const Robot& robot, const DriveSettings& settings,
                               const SingleMove& move) {
  RUNTRUE_TRY(const auto compiled, compile_moves({FlatMove{move, 0, 0}}, robot, settings));
  const int ms = compiled.front().command.milliseconds;
  if (ms > kLongest_ms) {
    return bad_input(fmt::format("press: '{}' takes {:.0f} s, expected at most 65 s",
                                 move_text(move), ms / 1000.0));
  }
  return static_cast<std::uint16_t>(ms);
}

Result<robot::TimedLevels> timed_levels(const WheelCommand& command, const std::string& text,
                                        int line) {
  if (command.milliseconds > kLongest_ms) {
    return bad_input(fmt::format("'{}' takes {:.0f} s, expected at most 65 s a move on the robot",
                                 text, command.milliseconds / 1000.0),
                     {"", line, 1});
  }
  return robot::TimedLevels{static_cast<std::int16_t>(command.left.value),
                            static_cast<std::int16_t>(command.right.value),
                            static_cast<std::uint16_t>(command.milliseconds)};
}

}  // namespace

std::string kept_name(const std::string& name) {
  if (name.size() <= robot::kNameSize) return name;
  std::size_t size = robot::kNameSize;
  // Bytes 10xxxxxx go on with a character of UTF-8.
  while (size > 0 && (static_cast<unsigned char>(name[size]) & 0xC0U) == 0x80U) --size;
  return name.substr(0, size);
}

Result<PartBytes> settings_part(const Robot& robot, const DriveSettings& settings,
                                const RobotLoadOptions& options) {
  if (robot.level_full.value > kHighestLevel_of_chip) {
    return bad_input(fmt::format("level_full is {}, expected at most {} for a robot that is loaded",
                                 robot.level_full.value, kHighestLevel_of_chip));
  }
  const Extent step{robot.press.step, std::nullopt};
  const TurnExtent turn{robot.press.turn, std::nullopt};
  robot::Settings s = {};
  s.version = robot::kPartVersion;
  s.flags = options.trim_from_pot ? robot::kTrimFromPot : std::uint8_t{0};
  const std::string name = kept_name(robot.name);
  std::memcpy(s.name, name.data(), name.size());
  s.full_level = static_cast<std::uint16_t>(robot.level_full.value);
  s.usual_level = static_cast<std::int16_t>(robot.level_usual.value);
  s.trim = static_cast<std::int16_t>(settings.trim.value);
  s.trim_lowest = static_cast<std::int16_t>(robot.trim_range.lowest.value);
  s.trim_highest = static_cast<std::int16_t>(robot.trim_range.highest.value);
  s.trim_share = robot::kUsualTrimShare;
  RUNTRUE_TRY(s.forward_ms, press_ms(robot, settings, DriveMove{step}));
  RUNTRUE_TRY(s.back_ms, press_ms(robot, settings, ReverseMove{step}));
  RUNTRUE_TRY(s.left_ms, press_ms(robot, settings, TurnMove{Side::kLeft, turn}));
  RUNTRUE_TRY(s.right_ms, press_ms(robot, settings, TurnMove{Side::kRight, turn}));
  s.rest_ms = static_cast<std::uint16_t>(std::lround(options.rest.ms()));
  s.hold_timeout_ms = static_cast<std::uint16_t>(
      std::clamp<long>(std::lround(robot.hold_timeout_step.ms()), 50, 2000));
  s.longest_run_s = static_cast<std::uint16_t>(std::lround(options.longest_run.s()));
  s.lowest_battery_mv = static_cast<std::uint16_t>(options.lowest_battery_mv);
  s.repeat_window_us = robot::kRepeatWindow_us;
  s.repeat_period_us = static_cast<std::uint32_t>(std::lround(options.repeat_period.us()));
  PartBytes bytes;
  append_part(bytes, s);
  return bytes;
}

Result<PartBytes> moves_part(const std::vector<CompiledMove>& moves) {
  PartBytes bytes{robot::kPartVersion};
  for (const CompiledMove& move : moves) {
    WheelCommand command = move.command;
    const bool pause = command.left.value == 0 && command.right.value == 0;
    for (; pause && command.milliseconds > kLongest_ms; command.milliseconds -= kLongest_ms) {
      append_part(bytes, robot::TimedLevels{0, 0, static_cast<std::uint16_t>(kLongest_ms)});
    }
    RUNTRUE_TRY(const auto levels, timed_levels(command, move.text, move.line));
    append_part(bytes, levels);
  }
  if (bytes.size() > robot::most_bytes(robot::Part::kMoves)) {
    return bad_input(fmt::format("{} moves are more than a robot keeps, expected at most {}",
                                 moves.size(), robot::kMostMoves));
  }
  return bytes;
}

std::vector<NextRun> plan_trials(const Robot& robot, const Truing& truing, int count) {
  RUNTRUE_CHECK(count >= 1 && count <= robot::kMostTrials);
  const auto [lowest, highest] = robot.trim_range;
  const int best = truing.settings.trim.value;
  const int away = std::max((highest.value - lowest.value) / 10, 1);
  std::vector<NextRun> runs;
  if (truing.next_run) runs.push_back(*truing.next_run);
  NextRun straight;
  straight.level = robot.level_usual;
  straight.half_line = Length::from_mm(600);
  straight.line = Length::from_mm(1200);
  if (truing.next_run && truing.next_run->kind == RunKind::kStraight) straight = *truing.next_run;
  const int straights = count - std::min(2, count / 3) - static_cast<int>(runs.size());
  for (int i = 0; i < straights; ++i) {
    constexpr int kAway[] = {0, 1, -1};
    straight.trim = Trim{std::clamp(best + kAway[i % 3] * away, lowest.value, highest.value)};
    runs.push_back(straight);
  }
  for (bool to_the_left = true; static_cast<int>(runs.size()) < count; to_the_left = !to_the_left) {
    NextRun turn;
    turn.kind = RunKind::kTurn;
    turn.level = robot.level_usual;
    turn.trim = Trim{best};
    turn.time = Duration::from_s(1.0);
    turn.to_the_left = to_the_left;
    runs.push_back(turn);
  }
  return runs;
}

Result<PartBytes> trials_part(const Robot& robot, const DriveSettings& settings,
                              std::span<const NextRun> runs) {
  PartBytes bytes{robot::kPartVersion};
  for (const NextRun& run : runs) {
    WheelCommand command{run.level, run.level, 0};
    if (run.kind == RunKind::kTurn) {
      const int side = run.to_the_left ? 1 : -1;
      command.left.value *= -side;
      command.right.value *= side;
    }
    if (run.time > Duration()) {
      command.milliseconds = static_cast<int>(std::lround(run.time.ms()));
    } else {
      // Half as long again as the settings say, since they may say little yet.
      const Motion motion = motion_of(settings.mean, robot, command, settings.trim);
      const double speed_mm_per_s = std::max(std::abs(motion.speed.mm_per_s()), 20.0);
      const double seconds = 1.5 * run.line.mm() / speed_mm_per_s + motion.lost.s();
      command.milliseconds = static_cast<int>(std::min(std::lround(seconds * 1000.0), 60000L));
    }
    RUNTRUE_TRY(const auto levels, timed_levels(command, "the trial", 0));
    append_part(bytes, robot::Trial{levels, static_cast<std::int16_t>(run.trim.value)});
  }
  if (bytes.size() > robot::most_bytes(robot::Part::kTrials)) {
    return bad_input(fmt::format("{} trials are more than a robot keeps, expected at most {}",
                                 runs.size(), robot::kMostTrials));
  }
  return bytes;
}

}  // namespace runtrue
