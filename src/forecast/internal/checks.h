// What a forecast refuses, in words for a person.
#pragma once

#include "forecast/forecast.h"
#include "forecast/internal/scene.h"

namespace runtrue::internal {

// Errors (bad input): options outside their ranges, numbers of the settings that are not finite,
// and what check_robot and check_table find.
[[nodiscard]] Result<void> check_inputs(const Robot& robot, const DriveSettings& settings,
                                        const Table& table, const ForecastOptions& options);

// Errors (bad input): a start that is not finite, or from which a contact stands off the table or
// the outline touches an obstacle or the wall.
[[nodiscard]] Result<void> check_start(const Scene& scene, const Pose& start);

}  // namespace runtrue::internal
