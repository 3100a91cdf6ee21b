// The outline around the places where most samples end, whatever shape they spread in.
#pragma once

#include <span>
#include <vector>

#include "forecast/internal/plane.h"

namespace runtrue::internal {

// A closed outline (counter-clockwise, first corner not repeated) around at least `part` of the
// ends: the level line of their smoothed density [Hyn96] that bounds one connected region, so a
// bent spread gets a bent outline. Smoothing and grid are set along the ends' principal axes; the
// smoothing moves the outline, but never what it holds, which is counted. `ends` must not be empty.
[[nodiscard]] std::vector<Vec> region_around(std::span<const Vec> ends, double part);

}  // namespace runtrue::internal
