// Plain plane geometry in millimetres: what the forecast and the check of a table both stand on.
#pragma once

#include <cmath>
#include <span>
#include <vector>

#include "drive/pose.h"

namespace runtrue::internal {

struct Vec {
  double x = 0.0, y = 0.0;  // mm

  friend Vec operator+(Vec a, Vec b) { return {a.x + b.x, a.y + b.y}; }
  friend Vec operator-(Vec a, Vec b) { return {a.x - b.x, a.y - b.y}; }
  friend Vec operator*(Vec a, double k) { return {a.x * k, a.y * k}; }
};

inline double dot(Vec a, Vec b) { return a.x * b.x + a.y * b.y; }
inline double cross(Vec a, Vec b) { return a.x * b.y - a.y * b.x; }
inline double length(Vec a) {
  return std::sqrt(a.x * a.x + a.y * a.y);
}  // within 100 m nothing overflows
inline Vec vec_of(const Point& p) { return {p.x.mm(), p.y.mm()}; }
inline Point point_of(Vec v) { return {Length::from_mm(v.x), Length::from_mm(v.y)}; }

[[nodiscard]] std::vector<Vec> vecs_of(const std::vector<Point>& points);

// Distance from `p` to the side from `a` to `b`, ends included.
[[nodiscard]] double distance_to_side(Vec p, Vec a, Vec b);

// Distance from `p` to the nearest side of a closed polygon.
[[nodiscard]] double distance_to_sides(Vec p, std::span<const Vec> polygon);

// By the even-odd rule [Hai94]; a point on a side may count either way.
[[nodiscard]] bool contains(std::span<const Vec> polygon, Vec p);

// Area with sign: positive when the corners run counter-clockwise [Mei69].
[[nodiscard]] double signed_area_mm2(std::span<const Vec> polygon);

// Whether the sides a-b and c-d cross, or come nearer than 1e-6 mm: a thousandth of what a person
// could type, far above rounding on coordinates up to 100 m.
[[nodiscard]] bool sides_meet(Vec a, Vec b, Vec c, Vec d);

}  // namespace runtrue::internal
