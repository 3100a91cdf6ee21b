// A list made smaller or slower as a whole.
#pragma once

#include <vector>

#include "moves/move_list.h"

namespace runtrue {

// The same figure `ratio` times as large (ratio > 0): lengths and radii times the ratio, angles and
// pauses as they are. A drive or reverse by time keeps its level and gets its time times the ratio,
// which is the ratio of its way but for the time lost in starting.
[[nodiscard]] std::vector<FlatMove> scaled(std::vector<FlatMove> moves, double ratio);

// The same moves, none above that level; what is slower already stays. `usual` is the level the
// list begins at. Moves by time get shorter by it.
[[nodiscard]] std::vector<FlatMove> slowed(const std::vector<FlatMove>& moves, Level cap,
                                           Level usual);

}  // namespace runtrue
