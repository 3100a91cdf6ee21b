#include "forecast/internal/checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace runtrue::internal {
namespace {

Result<void> in_range(const char* what, double value, double lowest, double highest) {
  if (value >= lowest && value <= highest) return {};  // false for NaN
  return bad_input(
      fmt::format("{} is {:.10g}, expected {:.10g} to {:.10g}", what, value, lowest, highest));
}

bool all_finite(const DriveSettings& settings) {
  const auto finite = [](double v) { return std::isfinite(v); };
  const DriveScatter& scatter = settings.scatter;
  return std::all_of(settings.mean.begin(), settings.mean.end(), finite) &&
         std::all_of(settings.covariance.begin(), settings.covariance.end(), finite) &&
         finite(scatter.curvature_per_mm) && finite(scatter.distance_ratio) &&
         finite(scatter.turn_ratio);
}

}  // namespace

Result<void> check_inputs(const Robot& robot, const DriveSettings& settings, const Table& table,
                          const ForecastOptions& options) {
  if (auto r = in_range("the number of samples", options.samples, 1, 10'000'000); !r) return r;
  if (auto r = in_range("the number of threads", options.threads, 1, 64); !r) return r;
  if (auto r = in_range("the number of kept paths", options.kept_paths, 0, 1000); !r) return r;
  if (auto r = in_range("the start's scatter in mm", options.start_sd.mm(), 0, 1000); !r) return r;
  if (auto r =
          in_range("the start heading's scatter in deg", options.start_heading_sd.deg(), 0, 360);
      !r) {
    return r;
  }
  if (!all_finite(settings)) {
    return bad_input("the robot's settings hold a number that is not finite, expected finite ones");
  }
  if (auto r = check_robot(robot); !r) return r;
  return check_table(table);
}

Result<void> check_start(const Scene& scene, const Pose& start) {
  if (!std::isfinite(start.x.mm()) || !std::isfinite(start.y.mm()) ||
      !std::isfinite(start.heading.rad())) {
    return bad_input("the start is not finite, expected x and y in mm and a heading in deg");
  }
  const std::string where =
      fmt::format("the start {:g},{:g},{:g}", start.x.mm(), start.y.mm(), start.heading.deg());
  if (stands_off(scene, start)) {
    return bad_input(
        fmt::format("{} puts a wheel or castor off the table, expected a start with "
                    "all of them on it",
                    where));
  }
  if (overlaps(scene, start)) {
    return bad_input(
        fmt::format("{} puts the robot into an obstacle or the wall, expected a start "
                    "clear of them",
                    where));
  }
  return {};
}

}  // namespace runtrue::internal
