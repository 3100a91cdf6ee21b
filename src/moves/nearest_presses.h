// The list of presses, within a robot's limit, that stays nearest to a list of moves.
//
// The measure: robot and wish go along their ways together, neither ever back, each waiting for the
// other as it likes; what counts is the farthest they are ever apart, made as small as can be
// [Eit94, the discrete Fréchet distance, on places an eighth of a step apart]. The end's heading
// counts too, by what it would put one further step off: step·|difference|, the arc.
//
// Optimal: for a given distance, a breadth-first search over (place, heading, place on the wish)
// finds the fewest presses that never leave it; the least distance with a list within the limit is
// found by halving, to kNearestTo_mm. Places are those that steps and turns reach, whatever the
// size of a turn.
#pragma once

#include <vector>

#include "drive/robot.h"
#include "moves/move_list.h"
#include "moves/press_list.h"
#include "units/result.h"

namespace runtrue {

inline constexpr double kNearestTo_mm = 0.1;

struct NearestPresses {
  std::vector<Press> presses;  // at most the robot's limit; the fewest of those as near
  Length farthest_off;         // the measure above, 0 for a list that is met exactly
  Length end_off;              // distance of the two ends
  Angle end_heading_off;       // how far more to the left the presses end, within half a round
};

// `moves` is what `flatten` answers; levels and pauses say nothing about the way and are passed
// over. Errors (bad input): a move by time, whose length nobody knows here; a way of more than
// 4000 eighths of a step; a search that grows beyond 2 million states.
[[nodiscard]] Result<NearestPresses> nearest_presses(const std::vector<FlatMove>& moves,
                                                     const Robot& robot);

}  // namespace runtrue
