#include "truing/run.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdlib>

namespace runtrue {
namespace {

Result<void> check_reading(const LineReading& reading, const char* line_column,
                           const char* sideways_column) {
  const double line_mm = reading.line.mm();
  const double sideways_mm = reading.sideways.mm();
  if (!(line_mm > 0) || line_mm > 20000) {
    return bad_input(
        fmt::format("{} is {:g}, expected a distance in front of the start mark, up to 20000 mm",
                    line_column, line_mm));
  }
  if (!std::isfinite(sideways_mm) || std::abs(sideways_mm) > 1.5 * line_mm) {
    return bad_input(fmt::format(
        "{} is {:g} at a line {:g} mm ahead, expected at most one and a half times that",
        sideways_column, sideways_mm, line_mm));
  }
  return {};
}

Result<void> check_straight(const Run& run) {
  if (!run.half && !run.end && !(run.time && run.distance)) {
    return bad_input(
        "this straight has no reading, expected line_mm with sideways_mm, or seconds with "
        "distance_mm");
  }
  if (run.turned)
    return bad_input("turned_deg is filled in a straight, expected it only in a turn");
  if (run.half) {
    if (auto r = check_reading(*run.half, "half_line_mm", "half_sideways_mm"); !r) return r;
  }
  if (run.end) {
    if (auto r = check_reading(*run.end, "line_mm", "sideways_mm"); !r) return r;
  }
  if (run.half && run.end && !(run.half->line.mm() < run.end->line.mm())) {
    return bad_input(fmt::format(
        "half_line_mm is {:g} and line_mm is {:g}, expected the half line to come first",
        run.half->line.mm(), run.end->line.mm()));
  }
  if (run.distance && !(run.distance->mm() > 0 && run.distance->mm() <= 100000)) {
    return bad_input(
        fmt::format("distance_mm is {:g}, expected more than 0, up to 100000", run.distance->mm()));
  }
  return {};
}

Result<void> check_turn(const Run& run) {
  if (!run.time || !run.turned) {
    return bad_input("this turn has no reading, expected seconds with turned_deg");
  }
  if (run.half || run.end || run.distance) {
    return bad_input(
        "a tape line or distance_mm is filled in a turn, expected them only in a straight");
  }
  if (!std::isfinite(run.turned->deg()) || std::abs(run.turned->deg()) > 36000) {
    return bad_input(
        fmt::format("turned_deg is {:g}, expected at most 36000 either way", run.turned->deg()));
  }
  return {};
}

}  // namespace

Result<void> check_run(const Run& run, const Robot& robot) {
  const int size = std::abs(run.level.value);
  if (size == 0 || size > robot.level_full.value) {
    return bad_input(fmt::format("level is {}, expected 1 to {} (or -1 to -{} in reverse)",
                                 run.level.value, robot.level_full.value, robot.level_full.value));
  }
  const auto [lowest, highest] = robot.trim_range;
  if (run.trim < lowest || run.trim > highest) {
    return bad_input(
        fmt::format("trim is {}, expected {} to {}", run.trim.value, lowest.value, highest.value));
  }
  if (run.time && !(run.time->s() > 0 && run.time->s() <= 3600)) {
    return bad_input(
        fmt::format("seconds is {:g}, expected more than 0, up to 3600", run.time->s()));
  }
  if (run.battery_v && !(*run.battery_v > 0 && *run.battery_v <= 100)) {
    return bad_input(
        fmt::format("battery_v is {:g}, expected more than 0, up to 100", *run.battery_v));
  }
  return run.kind == RunKind::kStraight ? check_straight(run) : check_turn(run);
}

}  // namespace runtrue
