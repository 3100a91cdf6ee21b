// When a point that is carried along an exact arc first meets something, in closed form.
//
// A point of the robot runs on a circle about the robot's centre of rotation, or on a line; a point
// of the table seen from the robot does the same the other way round. So every contact of outline,
// wheel, edge and obstacle is one of two questions: when does a point on an arc come within `reach`
// of a side, or of a point. Fractions are of the arc, 0..1.
//
// With d the unit vector ahead, n the one to its left, k the curvature and τ = (2/k)·tan(kσ/2) for
// the way σ done, the point stands at  start + (τ·d + (k·τ²/2)·n) / (1 + k²τ²/4),  so a line and a
// circle both are met at the roots of a quadratic in τ, which k = 0 leaves as it is: no straight
// case, and no digits lost however slight the bend [derived in docs/forecast.md, "Contact"].
#pragma once

#include <optional>

#include "drive/pose.h"
#include "forecast/internal/plane.h"

namespace runtrue::internal {

// The way of one point.
struct PointPath {
  Vec start;
  Vec ahead{1.0, 0.0};            // unit vector
  double curvature_per_mm = 0.0;  // left positive
  double way_mm = 0.0;            // 0 or more
  Vec middle;                     // no point of the way is farther than way/2 from it

  [[nodiscard]] Vec at(double fraction) const;
};

// The way of the robot's point `offset` as the robot, standing at `pose`, does `arc`.
[[nodiscard]] PointPath path_of_robot_point(const Pose& pose, const Arc& arc, Vec offset);

// The way of the standing point `place`, seen from the robot as it does `arc` from `pose`.
[[nodiscard]] PointPath path_seen_from_robot(const Pose& pose, const Arc& arc, Vec place);

// First fraction at which the point comes within `reach` of `place`; 0 where it is from the start.
[[nodiscard]] std::optional<double> first_near_point(const PointPath& path, Vec place,
                                                     double reach_mm);

// The same for the side from `a` to `b`. With reach 0: the first fraction at which it crosses it.
[[nodiscard]] std::optional<double> first_near_side(const PointPath& path, Vec a, Vec b,
                                                    double reach_mm);

}  // namespace runtrue::internal
