// What a measurement that is not made yet would leave in doubt.
#pragma once

#include "drive/robot.h"
#include "drive/settings.h"
#include "forecast/remedies.h"

namespace runtrue::internal {

// The settings after `gain.runs` more runs of that kind at that level and the present trim, each
// with the robot's own chance and the reading's; the mean stays, since what will be read isn't
// known. Linear least squares on the covariance: C − C·hᵀ(h·C·hᵀ + r/n)⁻¹·h·C with h the reading's
// derivative by the constants [Kal60] and r a single run's variance. A jig leaves them as they are.
[[nodiscard]] DriveSettings learned_from(const MeasurementGain& gain, const Robot& robot,
                                         const DriveSettings& settings);

}  // namespace runtrue::internal
