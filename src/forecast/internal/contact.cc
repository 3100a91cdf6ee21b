#include "forecast/internal/contact.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace runtrue::internal {
namespace {

constexpr double kNever = 2.0;  // any fraction beyond 1

Vec left_of(Vec v) { return {-v.y, v.x}; }

// The fraction of the path at τ. A negative τ is reached on the second half of a full turn.
double fraction_at(const PointPath& path, double tau) {
  const double k = std::abs(path.curvature_per_mm);
  const double half = k * tau / 2.0;
  const double to_way = std::abs(half) < 1e-8 ? 1.0 : std::atan(half) / half;
  if (std::isinf(tau) && k > 0.0) return std::numbers::pi / (k * path.way_mm);  // half a turn
  if (tau >= 0.0) return tau * to_way / path.way_mm;
  return (2.0 * std::numbers::pi + 2.0 * std::atan(half)) / (k * path.way_mm);  // inf where k is 0
}

// The fractions at the roots of square·τ² + 2·half·τ + rest = 0; kNever or NaN where there is none.
std::array<double, 2> roots(const PointPath& path, double square, double half, double rest) {
  const double under = half * half - square * rest;
  if (!(under >= 0.0) || path.way_mm == 0.0) return {kNever, kNever};
  // The sum of two terms of one sign; the other root by the product of both.
  const double sum = -(half + std::copysign(std::sqrt(under), half));
  return {fraction_at(path, sum / square), fraction_at(path, rest / sum)};
}

// Smallest fraction 0..1 among the crossings of a circle of `reach` about `place`.
double meets_circle(const PointPath& path, Vec place, double reach) {
  const double k = path.curvature_per_mm;
  const Vec off = path.start - place;
  const double rest = dot(off, off) - reach * reach;
  const double square = rest * k * k / 4.0 + k * dot(off, left_of(path.ahead)) + 1.0;
  double first = kNever;
  for (const double t : roots(path, square, dot(off, path.ahead), rest)) {
    if (t >= 0.0 && t < first) first = t;
  }
  return first;
}

// Smallest fraction 0..1 at which the point crosses the line of the side, moved sideways by
// `shift`, between the side's ends.
double meets_shifted_side(const PointPath& path, Vec a, Vec b, double shift) {
  const Vec along = b - a;
  const double side_length = length(along);
  const Vec normal = left_of(along) * (1.0 / side_length);
  const double k = path.curvature_per_mm;
  const double rest = dot(normal, path.start - a) - shift;
  const double square = rest * k * k / 4.0 + k * dot(normal, left_of(path.ahead)) / 2.0;
  double first = kNever;
  for (const double t : roots(path, square, dot(normal, path.ahead) / 2.0, rest)) {
    if (!(t >= 0.0 && t <= 1.0) || t >= first) continue;
    const double part = dot(path.at(t) - a, along) / (side_length * side_length);
    if (part >= 0.0 && part <= 1.0) first = t;
  }
  return first;
}

std::optional<double> if_ever(double fraction) {
  if (fraction > 1.0) return std::nullopt;
  return fraction;
}

// The path of a point that starts to move by `velocity` per whole arc and turns by `turn`.
PointPath path_from(Vec start, Vec velocity, double turn) {
  PointPath path;
  path.start = path.middle = start;
  path.way_mm = length(velocity);
  if (path.way_mm == 0.0) return path;
  path.ahead = velocity * (1.0 / path.way_mm);
  path.curvature_per_mm = turn / path.way_mm;
  path.middle = path.at(0.5);
  return path;
}

}  // namespace

Vec PointPath::at(double fraction) const {
  const double way = way_mm * fraction;
  const Pose step = pose_after({Length::from_mm(way), Angle::from_rad(way * curvature_per_mm)});
  return start + ahead * step.x.mm() + left_of(ahead) * step.y.mm();
}

PointPath path_of_robot_point(const Pose& pose, const Arc& arc, Vec offset) {
  const double turn = arc.turn.rad();
  const double c = std::cos(pose.heading.rad()), s = std::sin(pose.heading.rad());
  const Vec own{arc.length.mm() - turn * offset.y, turn * offset.x};
  return path_from(vec_of(point_in(pose, point_of(offset))),
                   {own.x * c - own.y * s, own.x * s + own.y * c}, turn);
}

PointPath path_seen_from_robot(const Pose& pose, const Arc& arc, Vec place) {
  const double turn = arc.turn.rad();
  const Vec start = vec_of(point_in(inverse(pose), point_of(place)));
  return path_from(start, {turn * start.y - arc.length.mm(), -turn * start.x}, -turn);
}

std::optional<double> first_near_point(const PointPath& path, Vec place, double reach_mm) {
  if (length(path.start - place) <= reach_mm) return 0.0;
  return if_ever(meets_circle(path, place, reach_mm));
}

std::optional<double> first_near_side(const PointPath& path, Vec a, Vec b, double reach_mm) {
  constexpr double kRounding_mm = 1e-6;
  const double most_mm = path.way_mm / 2.0 + reach_mm + kRounding_mm;
  if (distance_to_side(path.middle, a, b) > most_mm) return std::nullopt;
  if (reach_mm == 0.0) return if_ever(meets_shifted_side(path, a, b, 0.0));
  if (distance_to_side(path.start, a, b) <= reach_mm) return 0.0;
  // The border of all places within reach of a side: the side moved to its left and right, and a
  // circle about each end.
  double first = meets_shifted_side(path, a, b, reach_mm);
  first = std::min(first, meets_shifted_side(path, a, b, -reach_mm));
  first = std::min(first, meets_circle(path, a, reach_mm));
  first = std::min(first, meets_circle(path, b, reach_mm));
  return if_ever(first);
}

}  // namespace runtrue::internal
