// A place in millimetres, as the searches reckon with it.
#pragma once

#include <cmath>

namespace runtrue::internal {

struct Spot {
  double x = 0.0, y = 0.0;  // mm
};

[[nodiscard]] inline double apart(Spot a, Spot b) { return std::hypot(a.x - b.x, a.y - b.y); }

}  // namespace runtrue::internal
