#include "forecast/internal/scene.h"

#include <algorithm>

#include "forecast/internal/contact.h"

namespace runtrue::internal {
namespace {

double reach_of(const std::vector<Vec>& points) {
  double reach_mm = 0.0;
  for (const Vec p : points) reach_mm = std::max(reach_mm, length(p));
  return reach_mm;
}

Thing thing_of(const Obstacle& obstacle) {
  if (obstacle.centre) return {vec_of(*obstacle.centre), obstacle.radius.mm(), {}};
  Thing thing;
  thing.corners = vecs_of(obstacle.polygon);
  Vec low = thing.corners[0], high = low;
  for (const Vec c : thing.corners) {
    low = {std::min(low.x, c.x), std::min(low.y, c.y)};
    high = {std::max(high.x, c.x), std::max(high.y, c.y)};
  }
  thing.centre = (low + high) * 0.5;
  for (const Vec c : thing.corners) {
    thing.radius_mm = std::max(thing.radius_mm, length(c - thing.centre));
  }
  return thing;
}

// The smallest of the fractions found so far.
struct First {
  std::optional<double> fraction;
  void take(std::optional<double> found) {
    if (found && (!fraction || *found < *fraction)) fraction = found;
  }
};

// The outline against the sides of a closed polygon, from whichever side of it.
void meet_sides(const Scene& scene, const Pose& pose, const Arc& arc,
                const std::vector<Vec>& corners, First& first) {
  const std::size_t n = corners.size();
  if (scene.outline.empty()) {
    const PointPath path = path_of_robot_point(pose, arc, {});
    for (std::size_t i = 0; i < n; ++i) {
      first.take(first_near_side(path, corners[i], corners[(i + 1) % n], scene.outline_reach_mm));
    }
    return;
  }
  // Two polygons first meet with a corner of one on a side of the other.
  for (const Vec corner : scene.outline) {
    const PointPath path = path_of_robot_point(pose, arc, corner);
    for (std::size_t i = 0; i < n; ++i) {
      first.take(first_near_side(path, corners[i], corners[(i + 1) % n], 0.0));
    }
  }
  for (const Vec corner : corners) {
    const PointPath path = path_seen_from_robot(pose, arc, corner);
    for (std::size_t i = 0; i < scene.outline.size(); ++i) {
      first.take(first_near_side(path, scene.outline[i],
                                 scene.outline[(i + 1) % scene.outline.size()], 0.0));
    }
  }
}

void meet_circle(const Scene& scene, const Pose& pose, const Arc& arc, const Thing& thing,
                 First& first) {
  if (scene.outline.empty()) {
    first.take(first_near_point(path_of_robot_point(pose, arc, {}), thing.centre,
                                scene.outline_reach_mm + thing.radius_mm));
    return;
  }
  const PointPath path = path_seen_from_robot(pose, arc, thing.centre);
  for (std::size_t i = 0; i < scene.outline.size(); ++i) {
    first.take(first_near_side(path, scene.outline[i],
                               scene.outline[(i + 1) % scene.outline.size()], thing.radius_mm));
  }
}

std::vector<Vec> outline_at(const Scene& scene, const Pose& pose) {
  std::vector<Vec> corners;
  for (const Vec c : scene.outline) corners.push_back(vec_of(point_in(pose, point_of(c))));
  return corners;
}

bool any_sides_meet(const std::vector<Vec>& a, const std::vector<Vec>& b) {
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = 0; j < b.size(); ++j) {
      if (sides_meet(a[i], a[(i + 1) % a.size()], b[j], b[(j + 1) % b.size()])) return true;
    }
  }
  return false;
}

}  // namespace

Scene scene_of(const Robot& robot, const Table& table) {
  Scene scene;
  scene.edge = vecs_of(table.edge);
  if (signed_area_mm2(scene.edge) < 0.0) std::reverse(scene.edge.begin(), scene.edge.end());
  scene.walled = table.walled;
  for (const Obstacle& obstacle : table.obstacles) scene.things.push_back(thing_of(obstacle));
  scene.contacts = vecs_of(robot.wheels);
  for (const Point& castor : robot.castors) scene.contacts.push_back(vec_of(castor));
  scene.contact_reach_mm = reach_of(scene.contacts);
  scene.outline = vecs_of(robot.outline.polygon);
  scene.outline_reach_mm =
      scene.outline.empty() ? robot.outline.circle_radius.mm() : reach_of(scene.outline);
  return scene;
}

bool stands_off(const Scene& scene, const Pose& pose) {
  return std::any_of(scene.contacts.begin(), scene.contacts.end(), [&](Vec contact) {
    return !contains(scene.edge, vec_of(point_in(pose, point_of(contact))));
  });
}

bool overlaps(const Scene& scene, const Pose& pose) {
  const Vec at{pose.x.mm(), pose.y.mm()};
  const double reach_mm = scene.outline_reach_mm;
  const bool round = scene.outline.empty();
  const std::vector<Vec> corners = outline_at(scene, pose);
  if (scene.walled) {
    if (!contains(scene.edge, at)) return true;
    if (round ? distance_to_sides(at, scene.edge) < reach_mm : any_sides_meet(corners, scene.edge))
      return true;
  }
  return std::any_of(scene.things.begin(), scene.things.end(), [&](const Thing& thing) {
    if (length(thing.centre - at) >= thing.radius_mm + reach_mm) return false;
    if (thing.corners.empty()) {
      return round || contains(corners, thing.centre) ||
             distance_to_sides(thing.centre, corners) < thing.radius_mm;
    }
    if (round) {
      return contains(thing.corners, at) || distance_to_sides(at, thing.corners) < reach_mm;
    }
    return any_sides_meet(corners, thing.corners) || contains(thing.corners, corners[0]) ||
           contains(corners, thing.corners[0]);
  });
}

std::optional<double> first_fall(const Scene& scene, const Pose& pose, const Arc& arc) {
  First first;
  if (scene.walled) return first.fraction;
  for (const Vec contact : scene.contacts) {
    const PointPath path = path_of_robot_point(pose, arc, contact);
    for (std::size_t i = 0; i < scene.edge.size(); ++i) {
      first.take(
          first_near_side(path, scene.edge[i], scene.edge[(i + 1) % scene.edge.size()], 0.0));
    }
  }
  return first.fraction;
}

std::optional<double> first_bump(const Scene& scene, const Pose& pose, const Arc& arc) {
  First first;
  if (scene.walled) meet_sides(scene, pose, arc, scene.edge, first);
  for (const Thing& thing : scene.things) {
    if (thing.corners.empty()) {
      meet_circle(scene, pose, arc, thing, first);
    } else {
      meet_sides(scene, pose, arc, thing.corners, first);
    }
  }
  return first.fraction;
}

}  // namespace runtrue::internal
