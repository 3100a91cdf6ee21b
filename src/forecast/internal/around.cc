#include "forecast/internal/around.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace runtrue::internal {
namespace {

constexpr double kFar = std::numeric_limits<double>::max();

// No point of the bounds, swollen, is nearer to the side than this: the largest gap between the two
// along the side's normal, and between their boxes.
double gap_between(const Bounds& bounds, const Side& side, Vec a, Vec b) {
  const Vec middle = (bounds.low + bounds.high) * 0.5, half = (bounds.high - bounds.low) * 0.5;
  const double across = std::abs(dot(side.normal, middle) - side.level) -
                        std::abs(side.normal.x) * half.x - std::abs(side.normal.y) * half.y;
  const double x =
      std::max({std::min(a.x, b.x) - bounds.high.x, bounds.low.x - std::max(a.x, b.x), 0.0});
  const double y =
      std::max({std::min(a.y, b.y) - bounds.high.y, bounds.low.y - std::max(a.y, b.y), 0.0});
  return std::max(across, std::hypot(x, y)) - bounds.swell;
}

double gap_between(const Bounds& bounds, Vec place) {
  const double x = std::max({place.x - bounds.high.x, bounds.low.x - place.x, 0.0});
  const double y = std::max({place.y - bounds.high.y, bounds.low.y - place.y, 0.0});
  return std::hypot(x, y) - bounds.swell;
}

// Whether every point within `reach` of the bounds, swollen, has its foot on the side itself.
bool always_abreast(const Bounds& bounds, const Side& side, double reach) {
  const Vec tangent{-side.normal.y, side.normal.x};
  const Vec middle = (bounds.low + bounds.high) * 0.5, half = (bounds.high - bounds.low) * 0.5;
  const double at = dot(tangent, middle);
  const double wide =
      std::abs(tangent.x) * half.x + std::abs(tangent.y) * half.y + bounds.swell + reach;
  return at - wide >= side.low && at + wide <= side.high;
}

// The convex hull, clockwise, so that normals to the left point outward [And79].
std::vector<Side> hull_of(std::vector<Vec> corners) {
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
    sides.push_back(side_between(hull[i], hull[(i + 1) % hull.size()]));
  }
  return sides;
}

}  // namespace

Around::Around(const Scene& scene) : scene_(scene) {
  const std::size_t n = scene.edge.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Vec a = scene.edge[i], b = scene.edge[(i + 1) % n], c = scene.edge[(i + 2) % n];
    sides_.push_back({side_between(a, b), a, b});
    if (cross(b - a, c - b) < 0.0) inward_corners_.push_back(b);
  }
  convex_ = inward_corners_.empty();
  for (const Vec contact : scene.contacts) contacts_.push_back({contact});
  for (const Vec corner : scene.outline) outline_.push_back({corner});
  if (outline_.empty()) outline_.push_back(origin_);
  for (const Thing& thing : scene.things) {
    hulls_.push_back(thing.corners.empty() ? std::vector<Side>() : hull_of(thing.corners));
  }
}

void Around::bound(const Lanes& lanes, const Lane& going, std::optional<Vec> meant, Lane& near,
                   Room& room) {
  Bounds bounds = bounds_of(lanes, going);
  if (meant) {
    bounds.low = {std::min(bounds.low.x, meant->x), std::min(bounds.low.y, meant->y)};
    bounds.high = {std::max(bounds.high.x, meant->x), std::max(bounds.high.y, meant->y)};
  }
  const bool at_the_start = meant.has_value();
  for (Rider& contact : contacts_) measure_way(lanes, contact);
  measure_way(lanes, origin_);
  room.to_fall.fill(kFar);
  room.to_bump.fill(kFar);
  look_at_edge(lanes, going, bounds, at_the_start, near, room.to_fall);
  if (scene_.walled) {
    for (Rider& corner : outline_) measure_way(lanes, corner);
    look_at_walls(lanes, bounds, at_the_start, room.to_bump);
  }
  look_at_things(lanes, bounds, room.to_bump);
}

// On a convex table the nearest line is the nearest side, and leaving the table is crossing a line.
// Elsewhere a side counts between its ends, and inward corners are near places of their own (an
// outward corner is never nearer than the sides it joins).
void Around::look_at_edge(const Lanes& lanes, const Lane& going, const Bounds& bounds,
                          bool at_the_start, Lane& near, Lane& room) {
  for (EdgeSide& s : sides_) s.from_lanes_mm = gap_between(bounds, s.side, s.from, s.to);
  std::sort(sides_.begin(), sides_.end(),
            [](const EdgeSide& a, const EdgeSide& b) { return a.from_lanes_mm < b.from_lanes_mm; });
  const double reach = scene_.contact_reach_mm;
  Lane ended, near2;
  ended.fill(kFar);
  near2.fill(kFar);
  // Beyond this a side is farther than what every lane has already come near.
  double farthest_mm = largest_of(near, going) + reach;
  for (const EdgeSide& s : sides_) {
    if (s.from_lanes_mm > std::max(farthest_mm, reach)) break;
    const bool whole_line = convex_ || always_abreast(bounds, s.side, reach);
    for (const Rider& contact : contacts_) {
      if (whole_line || (at_the_start && s.from_lanes_mm <= reach)) {
        keep_least_from_line(lanes, s.side, contact, whole_line ? near : ended);
      }
      if (!whole_line) keep_least_from_side(lanes, s.side, contact, 0.0, near2, ended);
    }
    if (!whole_line) keep_least_root(near2, near);
    farthest_mm = largest_of(near, going) + reach;
  }
  for (const Vec corner : inward_corners_) {
    if (gap_between(bounds, corner) > farthest_mm) continue;
    for (const Rider& contact : contacts_) keep_least_from_place(lanes, corner, contact, near);
  }
  if (scene_.walled) return;
  keep_least(near, kBoundsGoodTo_mm, room);
  keep_least(ended, kBoundsGoodTo_mm, room);
}

void Around::look_at_walls(const Lanes& lanes, const Bounds& bounds, bool at_the_start,
                           Lane& room) const {
  const double reach = scene_.outline_reach_mm;
  const bool round = scene_.outline.empty();
  const double kept_off = round ? reach : 0.0;
  Lane line, unused;
  line.fill(kFar);
  unused.fill(kFar);
  for (const EdgeSide& s : sides_) {
    if (s.from_lanes_mm > reach) break;  // sorted by look_at_edge
    for (const Rider& point : outline_) {
      if (convex_ || at_the_start) {
        keep_least_from_line(lanes, s.side, point, line);
      } else {
        keep_least_from_side(lanes, s.side, point, kept_off + kBoundsGoodTo_mm, unused, room);
      }
    }
  }
  keep_least(line, kept_off + kBoundsGoodTo_mm, room);
  if (round) return;
  // An inward corner may meet the outline between its corners.
  for (const Vec corner : inward_corners_) {
    if (gap_between(bounds, corner) > reach) continue;
    Lane apart;
    apart.fill(kFar);
    keep_least_from_place(lanes, corner, origin_, apart);
    keep_least(apart, reach + kBoundsGoodTo_mm, room);
  }
}

// A thing keeps clear of a robot whose outline stays outside its bounding circle, or beyond the
// line of one side of its hull. For a circle about a round outline that is exact.
void Around::look_at_things(const Lanes& lanes, const Bounds& bounds, Lane& room) const {
  const double reach = scene_.outline_reach_mm;
  for (std::size_t i = 0; i < scene_.things.size(); ++i) {
    const Thing& thing = scene_.things[i];
    if (gap_between(bounds, thing.centre) > thing.radius_mm + reach) continue;
    Lane apart;
    apart.fill(kFar);
    keep_least_from_place(lanes, thing.centre, origin_, apart);
    if (hulls_[i].empty()) {
      keep_least(apart, thing.radius_mm + reach + kBoundsGoodTo_mm, room);
      continue;
    }
    Lane beyond;
    beyond.fill(kFar);
    keep_least(apart, thing.radius_mm, beyond);
    for (const Side& side : hulls_[i]) keep_most_from_line(lanes, side, origin_, beyond);
    keep_least(beyond, reach + kBoundsGoodTo_mm, room);
  }
}

}  // namespace runtrue::internal
