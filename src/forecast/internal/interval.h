// The exact interval of a binomial probability.
#pragma once

#include "forecast/forecast.h"

namespace runtrue::internal {

// `events` of `tries` with the exact 95 % interval [Clop34]: each end leaves 2.5 % beyond it; at no
// event the low end is 0 and at nothing but events the high end is 1, and the other end keeps its
// 2.5 %. tries >= 1, 0 <= events <= tries.
[[nodiscard]] Probability probability_of(int events, int tries);

}  // namespace runtrue::internal
