// Bounds of many robots side by side against the exact ways of each.
#include "forecast/internal/sweep.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <cmath>
#include <limits>

#include "forecast/internal/any_number.h"
#include "forecast/internal/contact.h"
#include "forecast/internal/test_scene.h"

namespace runtrue::internal {
namespace {

const Vec kOrigin{31.0, -17.0};  // any
constexpr double kExtent_mm = 2000.0;

// Every lane at a place and on an arc of its own, turns up to half a round.
struct Any {
  Lanes lanes;
  Flock flock;
};

Any any_flock() {
  Any any;
  Lanes& lanes = any.lanes;
  boost::random::mt19937_64 rng(static_cast<std::uint64_t>(*rc::gen::inRange(0, 1 << 30)));
  boost::random::normal_distribution<double> normal;
  const double size = *rc::gen::element(0.0, 1e-9, 1e-6, 1e-3, 1.0);
  for (std::size_t i = 0; i < kLanes; ++i) {
    const double heading = normal(rng) * 3.0;
    lanes.x0[i] = 300.0 * normal(rng);
    lanes.y0[i] = 300.0 * normal(rng);
    lanes.cos0[i] = std::cos(heading);
    lanes.sin0[i] = std::sin(heading);
    lanes.length[i] = i % 5 == 0 ? 0.0 : 200.0 * normal(rng);
    lanes.turn[i] = std::clamp(size * normal(rng), -3.14, 3.14);
  }
  advance(lanes);
  gather(lanes, kOrigin, kExtent_mm, any.flock);
  return any;
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
constexpr int kWalkSteps = 400;
constexpr double kWalkedTo_mm = 0.02;

template <class Measure>
double walked_least(const PointPath& path, Measure measure) {
  double least = std::numeric_limits<double>::infinity();
  for (int i = 0; i <= kWalkSteps; ++i) {
    least = std::min(least, measure(path.at(static_cast<double>(i) / kWalkSteps)));
  }
  return least;
}

// A point of the robot as the bounds take it, and what it is in double precision.
struct AnyRider {
  Rider rider;
  Vec point;
};

AnyRider any_rider(const Flock& flock) {
  AnyRider any;
  any.point = {between(-90, 90), between(-90, 90)};
  any.rider.x = static_cast<float>(any.point.x);  // sixteenths: the same number
  any.rider.y = static_cast<float>(any.point.y);
  measure_way(flock, any.rider);
  return any;
}

constexpr float kReach = 130.0F;  // farther than any such point is from the robot's origin

double good_to(const Flock& flock) { return static_cast<double>(flock.good_to); }

RC_GTEST_PROP(Sweep, Advance_IsThePoseAfterTheArc, ()) {
  const Lanes lanes = any_flock().lanes;
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
  const Any any = any_flock();
  const AnyRider rider = any_rider(any.flock);
  const Vec a{between(-300, 300), between(-300, 300)}, b{301, 302};
  Side side = side_between(a, b, kOrigin);
  side.whole_line = true;
  const Vec normal = Vec{a.y - b.y, b.x - a.x} * (1.0 / length(b - a));
  FloatLane near, room;
  near.fill(kFar);
  room.fill(kFar);
  near[7] = -kFar;
  keep_least_from_sides(any.flock, {&side, 1}, {&rider.rider, 1}, kReach, 0.0F, near, room);
  RC_ASSERT(near[7] == -kFar);
  for (std::size_t i = 0; i < kLanes; ++i) {
    if (i == 7) continue;
    const PointPath path =
        path_of_robot_point(pose_of(any.lanes, i), arc_of_lane(any.lanes, i), rider.point);
    const double walked = walked_least(path, [&](Vec p) { return dot(normal, p - a); });
    const double least = static_cast<double>(near[i]);
    RC_ASSERT(least < walked + good_to(any.flock));
    RC_ASSERT(least > walked - kWalkedTo_mm - good_to(any.flock));
    RC_ASSERT(room[i] == near[i]);
  }
}

RC_GTEST_PROP(Sweep, LeastFromAPlace_IsThatOfTheWay, ()) {
  const Any any = any_flock();
  const AnyRider rider = any_rider(any.flock);
  const Vec place{between(-300, 300), between(-300, 300)};
  const Vec seen = place - kOrigin;
  FloatLane near;
  near.fill(kFar);
  keep_least_from_place(any.flock, static_cast<float>(seen.x), static_cast<float>(seen.y),
                        {&rider.rider, 1}, kReach, near);
  for (std::size_t i = 0; i < kLanes; ++i) {
    const PointPath path =
        path_of_robot_point(pose_of(any.lanes, i), arc_of_lane(any.lanes, i), rider.point);
    const double walked = walked_least(path, [&](Vec p) { return length(p - place); });
    const double least = static_cast<double>(near[i]);
    RC_ASSERT(least < walked + good_to(any.flock));
    // A way that passes a place closely is seen by a walk to half a step only.
    RC_ASSERT(least > walked - path.way_mm / kWalkSteps - good_to(any.flock));
  }
}

// With both of its ends as places a side is complete; and what crosses it has no room.
RC_GTEST_PROP(Sweep, LeastFromASideAndItsEnds_IsThatOfTheWay, ()) {
  const Any any = any_flock();
  const AnyRider rider = any_rider(any.flock);
  const Vec a{between(-300, 300), between(-300, 300)}, b{between(-300, 300), 302};
  const Side side = side_between(a, b, kOrigin);
  FloatLane near, room;
  near.fill(kFar);
  room.fill(kFar);
  keep_least_from_sides(any.flock, {&side, 1}, {&rider.rider, 1}, kReach, 0.0F, near, room);
  for (const Vec end : {a - kOrigin, b - kOrigin}) {
    keep_least_from_place(any.flock, static_cast<float>(end.x), static_cast<float>(end.y),
                          {&rider.rider, 1}, kReach, near);
  }
  for (std::size_t i = 0; i < kLanes; ++i) {
    const PointPath path =
        path_of_robot_point(pose_of(any.lanes, i), arc_of_lane(any.lanes, i), rider.point);
    const double walked = walked_least(path, [&](Vec p) { return distance_to_side(p, a, b); });
    const double least = static_cast<double>(near[i]), left = static_cast<double>(room[i]);
    RC_ASSERT(least < walked + good_to(any.flock) || left <= good_to(any.flock));
    if (first_near_side(path, a, b, 0.0)) {
      RC_ASSERT(left <= good_to(any.flock));
    } else if (left > good_to(any.flock)) {
      RC_ASSERT(least > walked - path.way_mm / kWalkSteps - good_to(any.flock));
    }
  }
}

// Passing sides over that are farther than what has come near already changes nothing that matters.
RC_GTEST_PROP(Sweep, SidesFartherThanTheLimit_ArePassedOver, ()) {
  const Any any = any_flock();
  const AnyRider rider = any_rider(any.flock);
  std::vector<Side> sides;
  for (int i = 0; i < 6; ++i) {
    sides.push_back(side_between({between(-300, 300), between(-300, 300)}, {350, 302}, kOrigin));
  }
  FloatLane all, limited, room, limited_room;
  const float limit = static_cast<float>(between(1, 200));
  all.fill(kFar);
  limited.fill(limit);
  room.fill(kFar);
  limited_room.fill(kFar);
  keep_least_from_sides(any.flock, sides, {&rider.rider, 1}, kReach, 0.0F, all, room);
  keep_least_from_sides(any.flock, sides, {&rider.rider, 1}, kReach, 0.0F, limited, limited_room);
  for (std::size_t i = 0; i < kLanes; ++i) {
    RC_ASSERT(limited[i] == std::min(all[i], limit));
    RC_ASSERT((room[i] <= any.flock.good_to) == (limited_room[i] <= any.flock.good_to));
  }
}

}  // namespace
}  // namespace runtrue::internal
