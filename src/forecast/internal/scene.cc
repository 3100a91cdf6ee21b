#include "forecast/internal/scene.h"

#include <algorithm>
#include <limits>

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

// The robot on one arc: the ways of its origin and of its outline's corners, worked out once.
struct OutlineWay {
  Pose pose;
  Arc arc;
  PointPath origin;
  std::vector<PointPath> corners;  // none for a round outline
};

OutlineWay outline_way(const Scene& scene, const Pose& pose, const Arc& arc) {
  OutlineWay way{pose, arc, path_of_robot_point(pose, arc, {}), {}};
  for (const Vec corner : scene.outline) {
    way.corners.push_back(path_of_robot_point(pose, arc, corner));
  }
  return way;
}

// The outline against the side from `a` to `b`, from whichever side of it.
void meet_side(const Scene& scene, const OutlineWay& way, Vec a, Vec b, First& first) {
  if (scene.outline.empty()) {
    first.take(first_near_side(way.origin, a, b, scene.outline_reach_mm));
    return;
  }
  // Two polygons first meet with a corner of one on a side of the other.
  for (const PointPath& corner : way.corners) first.take(first_near_side(corner, a, b, 0.0));
  for (const Vec corner : {a, b}) {
    const PointPath path = path_seen_from_robot(way.pose, way.arc, corner);
    for (std::size_t i = 0; i < scene.outline.size(); ++i) {
      first.take(first_near_side(path, scene.outline[i],
                                 scene.outline[(i + 1) % scene.outline.size()], 0.0));
    }
  }
}

void meet_circle(const Scene& scene, const OutlineWay& way, const Thing& thing, First& first) {
  if (scene.outline.empty()) {
    first.take(
        first_near_point(way.origin, thing.centre, scene.outline_reach_mm + thing.radius_mm));
    return;
  }
  const PointPath path = path_seen_from_robot(way.pose, way.arc, thing.centre);
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

// Whether a closed polygon's sides meet the side from `a` to `b`.
bool side_meets(const std::vector<Vec>& corners, Vec a, Vec b) {
  for (std::size_t i = 0; i < corners.size(); ++i) {
    if (sides_meet(corners[i], corners[(i + 1) % corners.size()], a, b)) return true;
  }
  return false;
}

bool any_sides_meet(const std::vector<Vec>& a, const std::vector<Vec>& b) {
  for (std::size_t i = 0; i < b.size(); ++i) {
    if (side_meets(a, b[i], b[(i + 1) % b.size()])) return true;
  }
  return false;
}

// A corner is outward where one side runs on from another's end and bends to the left.
void add_inward_corners(Scene& scene) {
  const auto& sides = scene.sides;
  for (const EdgeSide& side : sides) {
    const auto next = std::find_if(sides.begin(), sides.end(), [&](const EdgeSide& s) {
      return s.from.x == side.to.x && s.from.y == side.to.y;
    });
    const bool outward =
        next != sides.end() && cross(side.to - side.from, next->to - next->from) >= 0.0;
    if (!outward) scene.inward_corners.push_back(side.to);
    const bool follows = std::any_of(sides.begin(), sides.end(), [&](const EdgeSide& s) {
      return s.to.x == side.from.x && s.to.y == side.from.y;
    });
    if (!follows) scene.inward_corners.push_back(side.from);
  }
  scene.convex = scene.tops.size() == 1 && scene.holes.empty() && scene.inward_corners.empty();
}

bool counts(const EdgeSide& side, Which which) {
  return which == Which::kAll || side.walled == (which == Which::kWalled);
}

double gap_between(const Thing& thing, Vec place) {
  if (thing.corners.empty()) return length(place - thing.centre) - thing.radius_mm;
  return contains(thing.corners, place) ? 0.0 : distance_to_sides(place, thing.corners);
}

}  // namespace

Scene scene_of(const Robot& robot, const Table& table) {
  Scene scene;
  Edge edge = edge_of(table);
  scene.tops = std::move(edge.tops);
  scene.holes = std::move(edge.holes);
  scene.sides = std::move(edge.sides);
  for (const EdgeSide& side : scene.sides) {
    (side.walled ? scene.any_walled : scene.any_open) = true;
  }
  add_inward_corners(scene);
  for (const Obstacle& obstacle : table.obstacles) scene.things.push_back(thing_of(obstacle));
  scene.contacts = vecs_of(robot.wheels);
  for (const Point& castor : robot.castors) scene.contacts.push_back(vec_of(castor));
  scene.contact_reach_mm = reach_of(scene.contacts);
  scene.outline = vecs_of(robot.outline.polygon);
  scene.outline_reach_mm =
      scene.outline.empty() ? robot.outline.circle_radius.mm() : reach_of(scene.outline);
  return scene;
}

bool on_table(const Scene& scene, Vec place) {
  const auto holds = [&](const std::vector<Vec>& polygon) { return contains(polygon, place); };
  return std::any_of(scene.tops.begin(), scene.tops.end(), holds) &&
         std::none_of(scene.holes.begin(), scene.holes.end(), holds);
}

double distance_to_edge(const Scene& scene, Vec place, Which which) {
  double least = std::numeric_limits<double>::infinity();
  for (const EdgeSide& side : scene.sides) {
    if (counts(side, which)) least = std::min(least, distance_to_side(place, side.from, side.to));
  }
  return least;
}

double least_room(const Scene& scene, const Pose& pose) {
  const Vec at{pose.x.mm(), pose.y.mm()};
  double room = distance_to_edge(scene, at, Which::kWalled) - scene.outline_reach_mm;
  for (const Vec contact : scene.contacts) {
    room = std::min(
        room, distance_to_edge(scene, vec_of(point_in(pose, point_of(contact))), Which::kOpen));
  }
  for (const Thing& thing : scene.things) {
    room = std::min(room, gap_between(thing, at) - scene.outline_reach_mm);
  }
  return std::max(room, 0.0);
}

// Behind a wall a contact may be off the table only where the outline is in the wall already.
bool stands_off(const Scene& scene, const Pose& pose) {
  return std::any_of(scene.contacts.begin(), scene.contacts.end(), [&](Vec contact) {
    return !on_table(scene, vec_of(point_in(pose, point_of(contact))));
  });
}

bool overlaps(const Scene& scene, const Pose& pose) {
  const Vec at{pose.x.mm(), pose.y.mm()};
  const double reach_mm = scene.outline_reach_mm;
  const bool round = scene.outline.empty();
  const std::vector<Vec> corners = outline_at(scene, pose);
  if (scene.any_walled) {
    if (!on_table(scene, at)) return true;
    for (const EdgeSide& side : scene.sides) {
      if (!side.walled) continue;
      if (round ? distance_to_side(at, side.from, side.to) < reach_mm
                : side_meets(corners, side.from, side.to)) {
        return true;
      }
    }
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
  if (!scene.any_open) return first.fraction;
  for (const Vec contact : scene.contacts) {
    const PointPath path = path_of_robot_point(pose, arc, contact);
    for (const EdgeSide& side : scene.sides) {
      if (!side.walled) first.take(first_near_side(path, side.from, side.to, 0.0));
    }
  }
  return first.fraction;
}

std::optional<double> first_bump(const Scene& scene, const Pose& pose, const Arc& arc) {
  First first;
  const OutlineWay way = outline_way(scene, pose, arc);
  const double swept_mm = scene.outline_reach_mm + way.origin.way_mm / 2.0;
  for (const EdgeSide& side : scene.sides) {
    if (side.walled) meet_side(scene, way, side.from, side.to, first);
  }
  for (const Thing& thing : scene.things) {
    if (length(thing.centre - way.origin.middle) > thing.radius_mm + swept_mm) continue;
    const std::size_t n = thing.corners.size();
    if (n == 0) meet_circle(scene, way, thing, first);
    for (std::size_t i = 0; i < n; ++i) {
      meet_side(scene, way, thing.corners[i], thing.corners[(i + 1) % n], first);
    }
  }
  return first.fraction;
}

}  // namespace runtrue::internal
