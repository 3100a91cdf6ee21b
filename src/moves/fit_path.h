// A drawn path as a list of moves: drives and turns on the spot, as few as are asked for, as near
// to the path as so many can be.
#pragma once

#include <vector>

#include "drive/pose.h"
#include "moves/move_list.h"
#include "units/result.h"

namespace runtrue {

inline constexpr std::size_t kMostPathPoints = 1000;

// The moves, the pose to start them from (on the first point, towards the second that is kept), the
// points that are kept, and the farthest that any part of the path lies from what stands for it.
struct FittedPath {
  Pose start;
  MoveList moves;
  std::vector<Point> corners;
  Length farthest_off;
  Point farthest_at;    // that part of the path
  Point farthest_from;  // the nearest place on the line that stands for it
};

// The path made larger or smaller about its first point so that the longer side of the box around
// it is `long_side`; as it is where it has no size.
[[nodiscard]] std::vector<Point> sized_to(const std::vector<Point>& path, Length long_side);

// The path's first and last point are kept, and of those between the ones whose straight lines are
// never farther from the path than need be with at most `most_moves` moves: optimal by dynamic
// programming over (last point kept, lines so far) [Ima88]; of equals the one with fewest moves.
// Lengths and angles are rounded to a tenth of a millimetre and a hundredth of a degree, each so
// that roundings don't add up. Time in the cube of the points.
// Errors (bad input): fewer than two points, all in one place, more than kMostPathPoints, a point
// beyond 100 m; most_moves below 1.
[[nodiscard]] Result<FittedPath> fit_path(const std::vector<Point>& path, int most_moves);

}  // namespace runtrue
