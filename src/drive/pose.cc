#include "drive/pose.h"

#include <cmath>

namespace runtrue {
namespace {

constexpr double kSeriesBelow_rad = 1e-4;

// sin(a)/a and (1 − cos a)/a.
struct Chord {
  double along = 1.0;
  double across = 0.0;
};

Chord chord(double a) {
  if (std::abs(a) < kSeriesBelow_rad) return {1.0 - a * a / 6.0, a / 2.0 - a * a * a / 24.0};
  const double half = std::sin(a / 2.0);
  return {std::sin(a) / a, 2.0 * half * half / a};  // 1 − cos a without cancellation
}

}  // namespace

Pose compose(const Pose& x_ab, const Pose& x_bc) {
  const Point p_ac = point_in(x_ab, {x_bc.x, x_bc.y});
  return {p_ac.x, p_ac.y, x_ab.heading + x_bc.heading};
}

Pose inverse(const Pose& x_ab) {
  const double c = std::cos(x_ab.heading.rad());
  const double s = std::sin(x_ab.heading.rad());
  return {-(x_ab.x * c + x_ab.y * s), x_ab.x * s - x_ab.y * c, -x_ab.heading};
}

Point point_in(const Pose& x_ab, const Point& p_b) {
  const double c = std::cos(x_ab.heading.rad());
  const double s = std::sin(x_ab.heading.rad());
  return {x_ab.x + p_b.x * c - p_b.y * s, x_ab.y + p_b.x * s + p_b.y * c};
}

Pose pose_after(const Arc& arc) {
  const Chord unit = chord(arc.turn.rad());
  return {arc.length * unit.along, arc.length * unit.across, arc.turn};
}

Arc part_of(const Arc& arc, double fraction) {
  return {arc.length * fraction, arc.turn * fraction};
}

double sideways_at_mm(double x_mm, double curvature_per_mm, double aim_rad) {
  const double s0 = std::sin(aim_rad);
  const double s1 = s0 + curvature_per_mm * x_mm;
  if (!(std::abs(s1) <= 1.0)) return std::nan("");
  return x_mm * (s0 + s1) / (std::cos(aim_rad) + std::sqrt(1.0 - s1 * s1));
}

double path_to_line_mm(double x_mm, double curvature_per_mm, double aim_rad) {
  const double y_mm = sideways_at_mm(x_mm, curvature_per_mm, aim_rad);
  const double chord_mm = std::hypot(x_mm, y_mm);
  // Half the heading change between the ends is the angle between the chord and the start heading.
  const double half_turn = std::atan2(y_mm, x_mm) - aim_rad;
  return std::abs(half_turn) < kSeriesBelow_rad ? chord_mm * (1.0 + half_turn * half_turn / 6.0)
                                                : chord_mm * half_turn / std::sin(half_turn);
}

double drift_mm_per_m(Curvature curvature) {
  constexpr double kMetre_mm = 1000.0;
  const double k = curvature.per_mm();
  if (std::abs(k) * kMetre_mm >= 1.0) return std::copysign(kMetre_mm, k);
  return sideways_at_mm(kMetre_mm, k, 0.0);
}

Curvature curvature_of_drift(double mm_per_m) {
  constexpr double kMetre_mm = 1000.0;
  return Curvature::from_per_mm(2.0 * mm_per_m / (kMetre_mm * kMetre_mm + mm_per_m * mm_per_m));
}

TwoMarkFit fit_two_marks(double x1_mm, double y1_mm, double x2_mm, double y2_mm) {
  // Circle through the origin, tangent (cos a, sin a) there: k·|p|²/2 = cross(tangent, p), so with
  // chord lengths and directions: sin(angle_i − a) = k·r_i/2 for i = 1, 2. Eliminate a exactly.
  const double r1 = std::hypot(x1_mm, y1_mm);
  const double r2 = std::hypot(x2_mm, y2_mm);
  // cross(p1, p2) and the third side give the circumscribed circle: k = 2·cross(p1,
  // p2)/(r1·r2·r12).
  const double cross = x1_mm * y2_mm - y1_mm * x2_mm;
  const double r12 = std::hypot(x2_mm - x1_mm, y2_mm - y1_mm);
  const double k = 2.0 * cross / (r1 * r2 * r12);
  const double aim =
      std::atan2(y1_mm, x1_mm) - std::asin(std::fmax(-1.0, std::fmin(1.0, k * r1 / 2.0)));
  return {k, aim};
}

}  // namespace runtrue
