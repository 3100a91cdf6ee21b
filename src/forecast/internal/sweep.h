// Many robots on one arc each, side by side: where they come to stand, and how near their points
// get to sides and places meanwhile.
//
// Plain loops over arrays, compiled for several instruction sets of which the widest present is
// taken; contraction is off, so all of them give the same bits. Every bound errs on the near side:
// what it says is clear is clear, the rest is looked at exactly (internal/contact.h). Lengths in
// millimetres.
#pragma once

#include <array>

#include "forecast/internal/plane.h"

namespace runtrue::internal {

inline constexpr int kLanes = 256;

struct alignas(64) Lane : std::array<double, kLanes> {};

// Robots before (0) and after (1) an arc. The bounds below are exact for turns up to half a round;
// beyond that they are those of the whole circle.
struct Lanes {
  Lane x0{}, y0{}, cos0{}, sin0{};  // place, and heading as a unit vector
  Lane length{}, turn{};            // of the arc
  Lane x1{}, y1{}, cos1{}, sin1{};
  Lane one_by_turn{};  // 1/|turn|, 0 for a turn below kSlightTurn_rad
};

// Below this a bend is passed over by the bounds: on a metre of way it is 5e-6 mm deep. Above it
// their roundings are smaller still, so they are good to kBoundsGoodTo_mm.
inline constexpr double kSlightTurn_rad = 4e-8;
inline constexpr double kBoundsGoodTo_mm = 1e-3;

// One of the robot's points and how far it comes on each lane's arc.
struct Rider {
  Vec point;
  Lane way{}, one_by_way{};  // 1/way, 0 where the point stands still
};

// A line, `normal`·p = level, and the part of it between `low` and `high` along the tangent
// (-normal.y, normal.x).
struct Side {
  Vec normal;
  double level = 0.0;
  double low = 0.0, high = 0.0;
};

// The side from `a` to `b`, its normal to the left.
[[nodiscard]] Side side_between(Vec a, Vec b);

// Fills x1, y1, cos1, sin1 and one_by_turn [Klee95].
void advance(Lanes& lanes);

// Fills way and one_by_way.
void measure_way(const Lanes& lanes, Rider& rider);

// Lowers `near` to the least signed distance of the robots' point from the whole line.
void keep_least_from_line(const Lanes& lanes, Side side, const Rider& rider, Lane& near);

// The same of the side between its ends, as a square: `near2` is lowered to that of the distance at
// the arc's ends and at its lowest place over the line; where the nearest place is an end of the
// side, keep_least_from_place on that end completes it. `room` is lowered to the signed distance
// from the line, less `reach`, wherever the point may pass the side within `reach` of it.
void keep_least_from_side(const Lanes& lanes, Side side, const Rider& rider, double reach,
                          Lane& near2, Lane& room);

// Lowers `near` to the least distance of the robots' point from `place`.
void keep_least_from_place(const Lanes& lanes, Vec place, const Rider& rider, Lane& near);

// Raises `apart` to the least signed distance of the robots' origin from the line.
void keep_most_from_line(const Lanes& lanes, Side side, const Rider& origin, Lane& apart);

// Lowers `room` to `from` less `reach`.
void keep_least(const Lane& from, double reach, Lane& room);

// Lowers `near` to the root of `near2`.
void keep_least_root(const Lane& near2, Lane& near);

// The largest of `values` where `going` is 1.
[[nodiscard]] double largest_of(const Lane& values, const Lane& going);

// Bounds of all places with `going` 1, before and after, and the most their arcs swell beyond.
struct Bounds {
  Vec low, high;
  double swell = 0.0;
};
[[nodiscard]] Bounds bounds_of(const Lanes& lanes, const Lane& going);

}  // namespace runtrue::internal
