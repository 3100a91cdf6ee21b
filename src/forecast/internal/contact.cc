#include "forecast/internal/contact.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace runtrue::internal {
namespace {

constexpr double kNever = 2.0;  // any fraction beyond 1

// The arc's fraction at which a point that starts at angle `from` stands at angle `to` first.
double fraction_at_angle(const PointPath& path, double from, double to) {
  const double round = 2.0 * std::numbers::pi;
  double way = path.turn_rad > 0.0 ? to - from : from - to;
  way -= round * std::floor(way / round);
  return way / std::abs(path.turn_rad);
}

// Smallest fraction 0..1 among the crossings of a circle of `reach` about `place`.
double meets_circle(const PointPath& path, Vec place, double reach) {
  double first = kNever;
  if (path.straight) {
    // |start + chord·t − place|² = reach²
    const Vec off = path.start - place;
    const double a = dot(path.chord, path.chord);
    const double b = dot(off, path.chord);
    const double root = b * b - a * (dot(off, off) - reach * reach);
    if (a == 0.0 || root < 0.0) return kNever;
    const double t = (-b - std::sqrt(root)) / a;
    if (t >= 0.0 && t <= 1.0) first = t;
    return first;
  }
  const Vec arm = path.start - path.centre, to_place = place - path.centre;
  const double radius = length(arm), apart = length(to_place);
  if (radius == 0.0 || apart == 0.0) return kNever;
  const double cosine = (radius * radius + apart * apart - reach * reach) / (2.0 * radius * apart);
  if (std::abs(cosine) > 1.0) return kNever;
  const double from = std::atan2(arm.y, arm.x), middle = std::atan2(to_place.y, to_place.x);
  for (const double side : {-std::acos(cosine), std::acos(cosine)}) {
    const double t = fraction_at_angle(path, from, middle + side);
    if (t <= 1.0) first = std::min(first, t);
  }
  return first;
}

// Smallest fraction 0..1 at which the point crosses the line of the side, moved sideways by
// `shift`, between the side's ends.
double meets_shifted_side(const PointPath& path, Vec a, Vec b, double shift) {
  const Vec along = b - a;
  const double side_length = length(along);
  const Vec normal{-along.y / side_length, along.x / side_length};
  const double level = dot(normal, a) + shift;
  double first = kNever;
  const auto take = [&](double t) {
    if (!(t >= 0.0 && t <= 1.0) || t >= first) return;
    const double part = dot(path.at(t) - a, along) / (side_length * side_length);
    if (part >= 0.0 && part <= 1.0) first = t;
  };
  if (path.straight) {
    const double rate = dot(normal, path.chord);
    if (rate != 0.0) take((level - dot(normal, path.start)) / rate);
    return first;
  }
  const Vec arm = path.start - path.centre;
  const double radius = length(arm);
  const double cosine = (level - dot(normal, path.centre)) / radius;
  if (!(std::abs(cosine) <= 1.0)) return kNever;  // also where the radius is 0
  const double from = std::atan2(arm.y, arm.x), middle = std::atan2(normal.y, normal.x);
  const double spread = std::acos(cosine);
  take(fraction_at_angle(path, from, middle - spread));
  take(fraction_at_angle(path, from, middle + spread));
  return first;
}

std::optional<double> if_ever(double fraction) {
  if (fraction > 1.0) return std::nullopt;
  return fraction;
}

}  // namespace

Vec PointPath::at(double fraction) const {
  if (straight) return start + chord * fraction;
  const double c = std::cos(turn_rad * fraction), s = std::sin(turn_rad * fraction);
  const Vec arm = start - centre;
  return centre + Vec{arm.x * c - arm.y * s, arm.x * s + arm.y * c};
}

PointPath path_of_robot_point(const Pose& pose, const Arc& arc, Vec offset) {
  PointPath path;
  path.start = vec_of(point_in(pose, point_of(offset)));
  path.turn_rad = arc.turn.rad();
  path.straight = std::abs(path.turn_rad) < kStraightBelow_rad;
  if (path.straight) {
    path.chord = vec_of(point_in(compose(pose, pose_after(arc)), point_of(offset))) - path.start;
  } else {
    path.centre = vec_of(point_in(pose, {Length(), arc.length / path.turn_rad}));
  }
  return path;
}

PointPath path_seen_from_robot(const Pose& pose, const Arc& arc, Vec place) {
  PointPath path;
  path.start = vec_of(point_in(inverse(pose), point_of(place)));
  path.turn_rad = -arc.turn.rad();
  path.straight = std::abs(path.turn_rad) < kStraightBelow_rad;
  if (path.straight) {
    const Pose after = compose(pose, pose_after(arc));
    path.chord = vec_of(point_in(inverse(after), point_of(place))) - path.start;
  } else {
    path.centre = {0.0, arc.length.mm() / arc.turn.rad()};
  }
  return path;
}

std::optional<double> first_near_point(const PointPath& path, Vec place, double reach_mm) {
  if (length(path.start - place) <= reach_mm) return 0.0;
  return if_ever(meets_circle(path, place, reach_mm));
}

std::optional<double> first_near_side(const PointPath& path, Vec a, Vec b, double reach_mm) {
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
