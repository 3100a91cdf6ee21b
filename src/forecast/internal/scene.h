// The robot's contacts and outline and the table's edge and obstacles, made ready for the forecast,
// and what happens to the robot on one arc among them, exactly.
#pragma once

#include <optional>
#include <vector>

#include "drive/robot.h"
#include "forecast/internal/plane.h"
#include "forecast/table.h"

namespace runtrue::internal {

// Something to bump into. A polygon too has a bounding circle; a circle has no corners.
struct Thing {
  Vec centre;
  double radius_mm = 0.0;
  std::vector<Vec> corners;
};

struct Scene {
  std::vector<Vec> edge;  // counter-clockwise
  bool walled = false;
  std::vector<Thing> things;
  std::vector<Vec> contacts;  // wheels, then castors, in the robot's frame
  double contact_reach_mm = 0.0;
  std::vector<Vec> outline;       // corners in the robot's frame; empty: a circle about its origin
  double outline_reach_mm = 0.0;  // of the circle, or of the farthest corner
};

// Both must have passed their checks.
[[nodiscard]] Scene scene_of(const Robot& robot, const Table& table);

// Whether a robot standing there has a contact off the table; whether its outline overlaps an
// obstacle or, where there is one, the wall.
[[nodiscard]] bool stands_off(const Scene& scene, const Pose& pose);
[[nodiscard]] bool overlaps(const Scene& scene, const Pose& pose);

// The fraction of the arc at which a contact first crosses the edge (none where it is walled), and
// at which the outline first meets an obstacle or the wall. The robot must stand well at `pose`.
[[nodiscard]] std::optional<double> first_fall(const Scene& scene, const Pose& pose,
                                               const Arc& arc);
[[nodiscard]] std::optional<double> first_bump(const Scene& scene, const Pose& pose,
                                               const Arc& arc);

}  // namespace runtrue::internal
