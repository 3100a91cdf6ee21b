#include "drive/robot.h"

#include <fmt/format.h>

#include <cmath>

namespace runtrue {
namespace {

Result<void> in_range(const char* field, double value, double lowest, double highest,
                      const char* hint = "") {
  if (std::isfinite(value) && value >= lowest && value <= highest) return {};
  return bad_input(
      fmt::format("{} is {:g}, expected {:g} to {:g}{}", field, value, lowest, highest, hint));
}

Result<void> near_the_robot(const char* field, const std::vector<Point>& points) {
  constexpr double kReach_mm = 1000.0;
  for (const Point& p : points) {
    for (const double offset_mm : {p.x.mm(), p.y.mm()}) {
      if (auto r = in_range(field, offset_mm, -kReach_mm, kReach_mm, " millimetres"); !r) return r;
    }
  }
  return {};
}

}  // namespace

Robot default_robot(std::string name, Length track_width) {
  Robot robot;
  robot.name = std::move(name);
  robot.track_width = track_width;
  robot.wheels = {{Length(), track_width / 2.0}, {Length(), -track_width / 2.0}};
  robot.castors = {{Length::from_mm(-60), Length()}, {Length::from_mm(60), Length()}};
  return robot;
}

Result<void> check_robot(const Robot& robot) {
  if (robot.name.empty()) return bad_input("name is empty, expected the robot's name");
  const double track = robot.track_width.mm();
  const char* hint =
      track > 0 && track < 20 ? " millimetres (typed in centimetres?)" : " millimetres";
  if (auto r = in_range("track_width_mm", track, 20, 1000, hint); !r) return r;
  if (auto r = in_range("wheel_diameter_mm", robot.wheel_diameter.mm(), 5, 500, " millimetres"); !r)
    return r;
  if (auto r = in_range("level_full", robot.level_full.value, 1, 65535); !r) return r;
  if (auto r = in_range("level_usual", robot.level_usual.value, 1, robot.level_full.value); !r)
    return r;
  const auto [lowest, highest] = robot.trim_range;
  if (auto r = in_range("trim_range", lowest.value, -1000, 1000); !r) return r;
  if (auto r = in_range("trim_range", highest.value, -1000, 1000); !r) return r;
  if (lowest >= highest) {
    return bad_input(fmt::format("trim_range is [{}, {}], expected the lower end first",
                                 lowest.value, highest.value));
  }
  if (auto r = in_range("move_list_limit", robot.move_list_limit, 1, 1000); !r) return r;
  if (auto r = in_range("hold_timeout_step_s", robot.hold_timeout_step.s(), 0.001, 60, " seconds");
      !r)
    return r;
  if (auto r = in_range("press.step_mm", robot.press.step.mm(), 1, 10000, " millimetres"); !r)
    return r;
  if (auto r = in_range("press.turn_deg", robot.press.turn.deg(), 1, 360, " degrees"); !r) return r;
  if (robot.outline.polygon.empty()) {
    if (auto r = in_range("outline.circle_radius_mm", robot.outline.circle_radius.mm(), 1, 1000,
                          " millimetres");
        !r) {
      return r;
    }
  } else if (robot.outline.polygon.size() < 3) {
    return bad_input("outline.polygon_mm has fewer than 3 corners, expected at least 3");
  }
  if (auto r = near_the_robot("outline.polygon_mm", robot.outline.polygon); !r) return r;
  if (robot.wheels.size() != 2)
    return bad_input("wheels_mm does not hold two points, expected the two wheels' contacts");
  if (auto r = near_the_robot("wheels_mm", robot.wheels); !r) return r;
  return near_the_robot("castors_mm", robot.castors);
}

}  // namespace runtrue
