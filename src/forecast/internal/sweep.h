// Many robots on one arc each, side by side: where they come to stand, and how near their points
// get to sides and places meanwhile.
//
// Plain loops over arrays, compiled for several instruction sets of which the widest present is
// taken; contraction is off, so all of them give the same bits. Poses are carried on in double
// precision. Bounds are single precision, about an origin in the middle of the table, and err on
// the near side by what Flock::good_to says: what they say is clear is clear, the rest is looked at
// exactly (internal/contact.h). Lengths in millimetres.
#pragma once

#include <array>
#include <limits>
#include <span>

#include "forecast/internal/plane.h"

namespace runtrue::internal {

inline constexpr int kLanes = 256;
inline constexpr float kFar = std::numeric_limits<float>::max();

struct alignas(64) Lane : std::array<double, kLanes> {};
struct alignas(64) FloatLane : std::array<float, kLanes> {};

// Robots before (0) and after (1) an arc.
struct Lanes {
  Lane x0{}, y0{}, cos0{}, sin0{};  // place, and heading as a unit vector
  Lane length{}, turn{};            // of the arc
  Lane x1{}, y1{}, cos1{}, sin1{};
};

struct LaneArcs {
  Lane length{}, turn{};
};

// Sets the lanes' arcs to `share` of `base`, lengthened as a whole by ratio·far, and bent by the
// further curvature bend·bent over its length; a turn on the spot (length 0) by the ratio alone.
void scatter_arcs(const LaneArcs& base, const Lane& far, const Lane& bent, double ratio,
                  double bend_per_mm, double share, Lanes& lanes);

// Fills x1, y1, cos1, sin1 [Klee95].
void advance(Lanes& lanes);

// Below this a bend is passed over by the bounds: on a metre of way it is 1.3e-4 mm deep.
inline constexpr float kSlightTurn_rad = 1e-6F;

// The same robots for the bounds, which are exact for turns up to half a round; beyond that they
// are those of the whole circle.
struct Flock {
  FloatLane x0{}, y0{}, cos0{}, sin0{}, length{}, turn{}, x1{}, y1{}, cos1{}, sin1{};
  FloatLane one_by_turn{};  // 1/|turn|, 0 for a turn below kSlightTurn_rad
  FloatLane swell{};     // no place of the origin's way is farther than this beyond its ends' box
  float good_to = 0.0F;  // roundings of all bounds are below this
};

// Fills `flock` about `origin`; no place that matters is farther than `extent` from it.
void gather(const Lanes& lanes, Vec origin, double extent, Flock& flock);

// One of the robot's points and how far it comes on each lane's arc.
struct Rider {
  float x = 0.0F, y = 0.0F;
  FloatLane way{}, one_by_way{};  // 1/way, 0 where the point stands still
};

// Fills way and one_by_way.
void measure_way(const Flock& flock, Rider& rider);

// A line, `normal`·p = level about the flock's origin, and the part of it between `low` and `high`
// along the tangent (-normal.y, normal.x).
struct Side {
  float normal_x = 0.0F, normal_y = 0.0F;
  float level = 0.0F;
  float low = 0.0F, high = 0.0F;
  bool whole_line = false;  // looked at as a line without ends
  bool open = true;         // crossing it is what `room` is about
  float from_flock = 0.0F;  // no place of any lane's way is nearer
};

// The side from `a` to `b`, its normal to the left.
[[nodiscard]] Side side_between(Vec a, Vec b, Vec origin);

// Lowers `near` to the least distance of the robots' points from the sides: signed, and of the
// whole line, where a side says so; else that of the side between its ends, but where the nearest
// place is an end of it, which keep_least_from_place completes. Lowers `room` to no more than the
// least signed distance from the line of an open side, less `kept_off`, wherever a point may pass
// the side within `kept_off` of it. `sides` are sorted by from_flock; no point of `riders` is
// farther than `reach` from the robots' origin. A lane whose `near` is -kFar is left out.
void keep_least_from_sides(const Flock& flock, std::span<const Side> sides,
                           std::span<const Rider> riders, float reach, float kept_off,
                           FloatLane& near, FloatLane& room);

// Lowers `near` to the least distance of the robots' points from the place, about the flock's
// origin.
void keep_least_from_place(const Flock& flock, float x, float y, std::span<const Rider> riders,
                           float reach, FloatLane& near);

// Raises `apart` to the least signed distance of the robots' origin from the line.
void keep_most_from_line(const Flock& flock, const Side& side, const Rider& origin,
                         FloatLane& apart);

// Lowers `room` to `from` less `reach`.
void keep_least(const FloatLane& from, float reach, FloatLane& room);

// Bounds of the ways of all lanes with `near` above -kFar.
struct Bounds {
  float low_x = kFar, low_y = kFar, high_x = -kFar, high_y = -kFar;
};
[[nodiscard]] Bounds bounds_of(const Flock& flock, const FloatLane& near);

}  // namespace runtrue::internal
