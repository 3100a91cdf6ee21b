// The robot's contacts and outline and the table's edge and obstacles, made ready for the forecast,
// and what happens to the robot on one arc among them, exactly.
#pragma once

#include <optional>
#include <vector>

#include "drive/robot.h"
#include "forecast/internal/edge.h"
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
  std::vector<std::vector<Vec>> tops;   // counter-clockwise
  std::vector<std::vector<Vec>> holes;  // clockwise
  std::vector<EdgeSide> sides;  // where the table ends: of tops, but within another, and of holes
  std::vector<Vec> inward_corners;  // where the table takes up more than half, or a side was cut
  bool convex = false;              // one convex top without holes
  bool any_open = false, any_walled = false;  // of the sides
  std::vector<Thing> things;
  std::vector<Vec> contacts;  // wheels, then castors, in the robot's frame
  double contact_reach_mm = 0.0;
  std::vector<Vec> outline;       // corners in the robot's frame; empty: a circle about its origin
  double outline_reach_mm = 0.0;  // of the circle, or of the farthest corner
};

// Both must have passed their checks.
[[nodiscard]] Scene scene_of(const Robot& robot, const Table& table);

// On a top and over no hole.
[[nodiscard]] bool on_table(const Scene& scene, Vec place);

// Distance to the nearest of the sides that `counts`.
enum class Which { kAll, kOpen, kWalled };
[[nodiscard]] double distance_to_edge(const Scene& scene, Vec place, Which which);

// No outline and no contact that stands well at `pose` comes to stand otherwise by a shift of less
// than this; 0 where that is not known.
[[nodiscard]] double least_room(const Scene& scene, const Pose& pose);

// Whether a robot standing there has a contact off the table; whether its outline overlaps an
// obstacle or a wall.
[[nodiscard]] bool stands_off(const Scene& scene, const Pose& pose);
[[nodiscard]] bool overlaps(const Scene& scene, const Pose& pose);

// The fraction of the arc at which a contact first crosses an open side, and at
// which the outline first meets an obstacle or the wall. The robot must stand well at `pose`.
[[nodiscard]] std::optional<double> first_fall(const Scene& scene, const Pose& pose,
                                               const Arc& arc);
[[nodiscard]] std::optional<double> first_bump(const Scene& scene, const Pose& pose,
                                               const Arc& arc);

}  // namespace runtrue::internal
