#include "forecast/internal/around.h"

#include <algorithm>
#include <cmath>

namespace runtrue::internal {
namespace {

struct Box {
  Vec middle, half;
};

double as_double(float x) { return static_cast<double>(x); }

Box box_of(const Bounds& b) {
  const Vec low{as_double(b.low_x), as_double(b.low_y)};
  const Vec high{as_double(b.high_x), as_double(b.high_y)};
  return {(low + high) * 0.5, (high - low) * 0.5};
}

Vec normal_of(const Side& side) { return {as_double(side.normal_x), as_double(side.normal_y)}; }

double root_of(double x, double y) { return std::sqrt(x * x + y * y); }

// No place of the box is nearer to the side than this: the larger of the gaps between the two along
// the side's normal, and between their boxes.
double gap_between(const Box& box, const Side& side, Vec a, Vec b) {
  const Vec normal = normal_of(side);
  const double across = std::abs(dot(normal, box.middle) - as_double(side.level)) -
                        std::abs(normal.x) * box.half.x - std::abs(normal.y) * box.half.y;
  const double x = std::abs(box.middle.x - (a.x + b.x) / 2) - box.half.x - std::abs(a.x - b.x) / 2;
  const double y = std::abs(box.middle.y - (a.y + b.y) / 2) - box.half.y - std::abs(a.y - b.y) / 2;
  return std::max(across, root_of(std::max(x, 0.0), std::max(y, 0.0)));
}

double gap_between(const Box& box, Vec place) {
  const double x = std::abs(place.x - box.middle.x) - box.half.x;
  const double y = std::abs(place.y - box.middle.y) - box.half.y;
  return root_of(std::max(x, 0.0), std::max(y, 0.0));
}

// Whether every point within `reach` of the box has its foot on the side itself.
bool always_abreast(const Box& box, const Side& side, double reach) {
  const Vec normal = normal_of(side), tangent{-normal.y, normal.x};
  const double at = dot(tangent, box.middle);
  const double wide = std::abs(tangent.x) * box.half.x + std::abs(tangent.y) * box.half.y + reach;
  return at - wide >= as_double(side.low) && at + wide <= as_double(side.high);
}

// The convex hull, clockwise, so that normals to the left point outward [And79].
std::vector<Side> hull_of(std::vector<Vec> corners, Vec origin) {
  std::sort(corners.begin(), corners.end(),
            [](Vec a, Vec b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  std::vector<Vec> hull;
  for (const int pass : {0, 1}) {
    const std::size_t base = hull.size();
    for (const Vec c : corners) {
      while (hull.size() >= base + 2 &&
             cross(hull.back() - hull[hull.size() - 2], c - hull.back()) >= 0.0) {
        hull.pop_back();
      }
      hull.push_back(c);
    }
    hull.pop_back();
    if (pass == 0) std::reverse(corners.begin(), corners.end());
  }
  std::vector<Side> sides;
  for (std::size_t i = 0; i < hull.size(); ++i) {
    sides.push_back(side_between(hull[i], hull[(i + 1) % hull.size()], origin));
  }
  return sides;
}

Rider rider_at(Vec p) {
  Rider rider;
  rider.x = static_cast<float>(p.x);
  rider.y = static_cast<float>(p.y);
  return rider;
}

}  // namespace

Around::Around(const Scene& scene)
    : scene_(scene),
      contact_reach_(static_cast<float>(scene.contact_reach_mm)),
      outline_reach_(static_cast<float>(scene.outline_reach_mm)),
      whole_lines_(scene.convex) {
  Vec low = scene.sides[0].from, high = low;
  for (const EdgeSide& s : scene.sides) {
    low = {std::min(low.x, s.from.x), std::min(low.y, s.from.y)};
    high = {std::max(high.x, s.from.x), std::max(high.y, s.from.y)};
  }
  origin_ = (low + high) * 0.5;
  extent_mm_ = root_of(high.x - low.x, high.y - low.y) + scene.outline_reach_mm;
  for (const EdgeSide& s : scene.sides) {
    EdgeLine line{side_between(s.from, s.to, origin_), s.from - origin_, s.to - origin_};
    line.side.open = !s.walled;
    lines_.push_back(line);
  }
  for (const Vec contact : scene.contacts) contacts_.push_back(rider_at(contact));
  for (const Vec corner : scene.outline) outline_.push_back(rider_at(corner));
  if (outline_.empty()) outline_.push_back(middle_);
  for (const Thing& thing : scene.things) {
    hulls_.push_back(thing.corners.empty() ? std::vector<Side>() : hull_of(thing.corners, origin_));
  }
}

void Around::bound(const Lanes& lanes, FloatLane& near, Room& room) {
  gather(lanes, origin_, extent_mm_, flock_);
  for (Rider& contact : contacts_) measure_way(flock_, contact);
  measure_way(flock_, middle_);
  const Bounds bounds = bounds_of(flock_, near);
  room.to_fall.fill(kFar);
  room.to_bump.fill(kFar);
  look_at_edge(bounds, near, room.to_fall);
  if (scene_.any_walled) look_at_walls(bounds, near, room.to_bump);
  look_at_things(bounds, room.to_bump);
}

void Around::sort_by_gap(const Bounds& bounds, float reach) {
  const Box box = box_of(bounds);
  sides_.clear();
  for (const EdgeLine& line : lines_) {
    Side side = line.side;
    side.from_flock = static_cast<float>(gap_between(box, side, line.from, line.to));
    side.whole_line = whole_lines_ || always_abreast(box, side, as_double(reach));
    sides_.push_back(side);
  }
  std::sort(sides_.begin(), sides_.end(),
            [](const Side& a, const Side& b) { return a.from_flock < b.from_flock; });
}

// On a convex table the nearest line is the nearest side, and leaving the table is crossing a line.
// Elsewhere a side counts between its ends, and inward corners are near places of their own (an
// outward corner is never nearer than the sides it joins).
void Around::look_at_edge(const Bounds& bounds, FloatLane& near, FloatLane& room) {
  sort_by_gap(bounds, contact_reach_);
  keep_least_from_sides(flock_, sides_, contacts_, contact_reach_, flock_.good_to, near, room);
  for (const Vec corner : scene_.inward_corners) {
    const Vec at = corner - origin_;
    keep_least_from_place(flock_, static_cast<float>(at.x), static_cast<float>(at.y), contacts_,
                          contact_reach_, near);
  }
}

void Around::look_at_walls(const Bounds& bounds, const FloatLane& near, FloatLane& room) {
  for (Rider& corner : outline_) measure_way(flock_, corner);
  sort_by_gap(bounds, outline_reach_);
  for (Side& side : sides_) side.open = !side.open;  // here `room` is about the walls
  FloatLane none;                                    // no wish to know how near they come
  for (std::size_t i = 0; i < kLanes; ++i) none[i] = near[i] > -kFar ? 0.0F : -kFar;
  const bool round = scene_.outline.empty();
  const float kept_off = (round ? outline_reach_ : 0.0F) + flock_.good_to;
  keep_least_from_sides(flock_, sides_, outline_, outline_reach_, kept_off, none, room);
  if (round) return;
  // An inward corner may meet the outline between its corners.
  const Box box = box_of(bounds);
  for (const Vec corner : scene_.inward_corners) {
    const Vec at = corner - origin_;
    if (gap_between(box, at) > scene_.outline_reach_mm) continue;
    FloatLane apart;
    apart.fill(kFar);
    keep_least_from_place(flock_, static_cast<float>(at.x), static_cast<float>(at.y), {&middle_, 1},
                          0.0F, apart);
    keep_least(apart, outline_reach_ + flock_.good_to, room);
  }
}

// A thing keeps clear of a robot whose outline stays outside its bounding circle, or beyond the
// line of one side of its hull. For a circle about a round outline that is exact.
void Around::look_at_things(const Bounds& bounds, FloatLane& room) {
  const Box box = box_of(bounds);
  for (std::size_t i = 0; i < scene_.things.size(); ++i) {
    const Thing& thing = scene_.things[i];
    const Vec at = thing.centre - origin_;
    const float radius = static_cast<float>(thing.radius_mm);
    const double touching_mm = thing.radius_mm + scene_.outline_reach_mm;
    if (gap_between(box, at) > touching_mm + static_cast<double>(flock_.good_to)) continue;
    FloatLane apart;
    apart.fill(radius + outline_reach_ + 2.0F * flock_.good_to);  // farther is all the same
    keep_least_from_place(flock_, static_cast<float>(at.x), static_cast<float>(at.y), {&middle_, 1},
                          0.0F, apart);
    if (hulls_[i].empty()) {
      keep_least(apart, radius + outline_reach_ + flock_.good_to, room);
      continue;
    }
    FloatLane beyond;
    beyond.fill(kFar);
    keep_least(apart, radius, beyond);
    for (const Side& side : hulls_[i]) keep_most_from_line(flock_, side, middle_, beyond);
    keep_least(beyond, outline_reach_ + flock_.good_to, room);
  }
}

}  // namespace runtrue::internal
