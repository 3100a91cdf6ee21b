#include "forecast/internal/plane.h"

#include <algorithm>
#include <limits>

namespace runtrue::internal {

std::vector<Vec> vecs_of(const std::vector<Point>& points) {
  std::vector<Vec> vecs;
  vecs.reserve(points.size());
  for (const Point& p : points) vecs.push_back(vec_of(p));
  return vecs;
}

double distance_to_side(Vec p, Vec a, Vec b) {
  const Vec along = b - a;
  const double part = std::clamp(dot(p - a, along) / dot(along, along), 0.0, 1.0);
  return length(p - (a + along * part));
}

double distance_to_sides(Vec p, std::span<const Vec> polygon) {
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    least = std::min(least, distance_to_side(p, polygon[i], polygon[(i + 1) % polygon.size()]));
  }
  return least;
}

bool contains(std::span<const Vec> polygon, Vec p) {
  bool inside = false;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const Vec a = polygon[i], b = polygon[j];
    if ((a.y > p.y) == (b.y > p.y)) continue;
    if (p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) inside = !inside;
  }
  return inside;
}

double signed_area_mm2(std::span<const Vec> polygon) {
  double twice = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    // From the first corner, so that a polygon far from the origin loses no digits.
    twice += cross(polygon[i] - polygon[0], polygon[(i + 1) % polygon.size()] - polygon[0]);
  }
  return twice / 2.0;
}

bool sides_meet(Vec a, Vec b, Vec c, Vec d) {
  constexpr double kTouching_mm = 1e-6;
  if (std::max(a.x, b.x) + kTouching_mm < std::min(c.x, d.x) ||
      std::max(c.x, d.x) + kTouching_mm < std::min(a.x, b.x) ||
      std::max(a.y, b.y) + kTouching_mm < std::min(c.y, d.y) ||
      std::max(c.y, d.y) + kTouching_mm < std::min(a.y, b.y)) {
    return false;
  }
  const bool parted_by_ab = cross(b - a, c - a) * cross(b - a, d - a) < 0.0;
  const bool parted_by_cd = cross(d - c, a - c) * cross(d - c, b - c) < 0.0;
  if (parted_by_ab && parted_by_cd) return true;
  return distance_to_side(a, c, d) < kTouching_mm || distance_to_side(b, c, d) < kTouching_mm ||
         distance_to_side(c, a, b) < kTouching_mm || distance_to_side(d, a, b) < kTouching_mm;
}

}  // namespace runtrue::internal
