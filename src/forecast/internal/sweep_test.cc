// Bounds of many robots side by side against the exact ways of each.
#include "forecast/internal/sweep.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "forecast/internal/chance.h"
#include "forecast/internal/contact.h"
#include "forecast/internal/test_scene.h"

namespace runtrue::internal {
namespace {

double between(int lowest, int highest) {
  return *rc::gen::inRange(lowest * 16, highest * 16) / 16.0;
}

// Every lane at a place and on an arc of its own, turns up to half a round.
Lanes any_lanes() {
  Lanes lanes;
  SampleChance chance(static_cast<std::uint64_t>(*rc::gen::inRange(0, 1 << 30)), 0);
  const double size = *rc::gen::element(0.0, 1e-9, 1e-6, 1e-3, 1.0);
  for (std::size_t i = 0; i < kLanes; ++i) {
    const double heading = chance.normal() * 3.0;
    lanes.x0[i] = 300.0 * chance.normal();
    lanes.y0[i] = 300.0 * chance.normal();
    lanes.cos0[i] = std::cos(heading);
    lanes.sin0[i] = std::sin(heading);
    lanes.length[i] = i % 5 == 0 ? 0.0 : 200.0 * chance.normal();
    lanes.turn[i] = std::clamp(size * chance.normal(), -3.14, 3.14);
  }
  advance(lanes);
  return lanes;
}

Pose pose_of(const Lanes& lanes, std::size_t i) {
  return {Length::from_mm(lanes.x0[i]), Length::from_mm(lanes.y0[i]),
          Angle::from_rad(std::atan2(lanes.sin0[i], lanes.cos0[i]))};
}

Arc arc_of_lane(const Lanes& lanes, std::size_t i) {
  return {Length::from_mm(lanes.length[i]), Angle::from_rad(lanes.turn[i])};
}

// The least of `measure` over the way, walked in steps; steps of this many see the least to
// (way/step)²·curvature/8, under 0.02 mm for the arcs above, and from the side of too much.
constexpr int kSteps = 400;
constexpr double kWalkedTo_mm = 0.02;

template <class Measure>
double walked_least(const PointPath& path, Measure measure) {
  double least = std::numeric_limits<double>::infinity();
  for (int i = 0; i <= kSteps; ++i) {
    least = std::min(least, measure(path.at(static_cast<double>(i) / kSteps)));
  }
  return least;
}

Rider rider_on(const Lanes& lanes, Vec point) {
  Rider rider{point};
  measure_way(lanes, rider);
  return rider;
}

RC_GTEST_PROP(Sweep, Advance_IsThePoseAfterTheArc, ()) {
  const Lanes lanes = any_lanes();
  for (std::size_t i = 0; i < kLanes; ++i) {
    const Pose after = compose(pose_of(lanes, i), pose_after(arc_of_lane(lanes, i)));
    // Roundings on lengths of a metre.
    RC_ASSERT(std::abs(lanes.x1[i] - after.x.mm()) < 1e-9);
    RC_ASSERT(std::abs(lanes.y1[i] - after.y.mm()) < 1e-9);
    RC_ASSERT(std::abs(lanes.cos1[i] - std::cos(after.heading.rad())) < 1e-12);
    RC_ASSERT(std::abs(lanes.sin1[i] - std::sin(after.heading.rad())) < 1e-12);
  }
}

RC_GTEST_PROP(Sweep, LeastFromALine_IsThatOfTheWay, ()) {
  const Lanes lanes = any_lanes();
  const Rider rider = rider_on(lanes, {between(-90, 90), between(-90, 90)});
  const Side side = side_between({between(-300, 300), between(-300, 300)}, {301, 302});
  Lane near;
  near.fill(1e9);
  keep_least_from_line(lanes, side, rider, near);
  for (std::size_t i = 0; i < kLanes; ++i) {
    const PointPath path =
        path_of_robot_point(pose_of(lanes, i), arc_of_lane(lanes, i), rider.point);
    const double walked =
        walked_least(path, [&](Vec p) { return dot(side.normal, p) - side.level; });
    RC_ASSERT(near[i] < walked + kBoundsGoodTo_mm);
    RC_ASSERT(near[i] > walked - kWalkedTo_mm - kBoundsGoodTo_mm);
  }
}

RC_GTEST_PROP(Sweep, LeastFromAPlace_IsThatOfTheWay, ()) {
  const Lanes lanes = any_lanes();
  const Rider rider = rider_on(lanes, {between(-90, 90), between(-90, 90)});
  const Vec place{between(-300, 300), between(-300, 300)};
  Lane near;
  near.fill(1e9);
  keep_least_from_place(lanes, place, rider, near);
  for (std::size_t i = 0; i < kLanes; ++i) {
    const PointPath path =
        path_of_robot_point(pose_of(lanes, i), arc_of_lane(lanes, i), rider.point);
    const double walked = walked_least(path, [&](Vec p) { return length(p - place); });
    RC_ASSERT(near[i] < walked + kBoundsGoodTo_mm);
    // A way that passes a place closely is seen by a walk to half a step only.
    RC_ASSERT(near[i] > walked - path.way_mm / kSteps - kBoundsGoodTo_mm);
  }
}

// With both of its ends as places a side is complete; and what crosses it has no room.
RC_GTEST_PROP(Sweep, LeastFromASideAndItsEnds_IsThatOfTheWay, ()) {
  const Lanes lanes = any_lanes();
  const Rider rider = rider_on(lanes, {between(-90, 90), between(-90, 90)});
  const Vec a{between(-300, 300), between(-300, 300)}, b{between(-300, 300), 302};
  Lane near2, near, room;
  near2.fill(1e18);
  near.fill(1e9);
  room.fill(1e9);
  keep_least_from_side(lanes, side_between(a, b), rider, 0.0, near2, room);
  keep_least_root(near2, near);
  keep_least_from_place(lanes, a, rider, near);
  keep_least_from_place(lanes, b, rider, near);
  for (std::size_t i = 0; i < kLanes; ++i) {
    const PointPath path =
        path_of_robot_point(pose_of(lanes, i), arc_of_lane(lanes, i), rider.point);
    const double walked = walked_least(path, [&](Vec p) { return distance_to_side(p, a, b); });
    RC_ASSERT(near[i] < walked + kBoundsGoodTo_mm || room[i] <= kBoundsGoodTo_mm);
    if (first_near_side(path, a, b, 0.0)) {
      RC_ASSERT(room[i] <= kBoundsGoodTo_mm);
    } else if (room[i] > kBoundsGoodTo_mm) {
      RC_ASSERT(near[i] > walked - path.way_mm / kSteps - kBoundsGoodTo_mm);
    }
  }
}

}  // namespace
}  // namespace runtrue::internal
