// When a point that is carried along an exact arc first meets something, in closed form.
//
// A point of the robot runs on a circle about the robot's centre of rotation, or on a line; a point
// of the table seen from the robot does the same the other way round. So every contact of outline,
// wheel, edge and obstacle is one of two questions: when does a point on an arc come within `reach`
// of a side, or of a point. Fractions are of the arc, 0..1. All millimetres and radians [derived in
// docs/forecast.md, "Contact"].
#pragma once

#include <optional>

#include "drive/pose.h"
#include "forecast/internal/plane.h"

namespace runtrue::internal {

// A turn below this is taken as none: on 2 m of way that is wrong by under 1e-5 mm, and so is the
// centre's rounding at the radius where the two cross over.
inline constexpr double kStraightBelow_rad = 4e-8;

// The way of one point: `start` + `chord`·t when straight, else `start` turned about `centre` by
// `turn`·t.
struct PointPath {
  Vec start;
  bool straight = true;
  Vec chord;
  Vec centre;
  double turn_rad = 0.0;

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
