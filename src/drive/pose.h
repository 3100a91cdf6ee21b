// Where a robot stands and how one exact arc carries it on.
//
// Frames: x forward, y left, heading counter-clockwise from +x (right-handed, ISO 9787). A `Pose`
// named X_AB is the pose of B seen from A; adjacent letters match in a product: X_AC =
// compose(X_AB, X_BC). The robot's own origin is the midpoint between its wheels' contacts. Nothing
// here can fail; numbers must be finite.
#pragma once

#include "units/quantity.h"

namespace runtrue {

struct Point {
  Length x, y;
};

struct Pose {
  Length x, y;
  Angle heading;  // not wrapped: a robot that turned round twice says so
};

// What one move does to a robot: it runs `length` along a path of constant curvature while it turns
// by `turn`. Straight: turn 0. On the spot: length 0. Backward: length negative; a backward move
// with turn > 0 also raises the heading. Curvature is turn / length.
struct Arc {
  Length length;
  Angle turn;
};

// X_AC from X_AB and X_BC.
[[nodiscard]] Pose compose(const Pose& x_ab, const Pose& x_bc);

// X_BA from X_AB: compose(p, inverse(p)) is the identity.
[[nodiscard]] Pose inverse(const Pose& x_ab);

// The point p_B, given in B, seen from A.
[[nodiscard]] Point point_in(const Pose& x_ab, const Point& p_b);

// The pose after `arc`, seen from the pose before it, in closed form: with s the length and a the
// turn,
//   x = s·sin(a)/a,  y = s·(1 − cos(a))/a  [Klee95, straight, arc and turn on the spot];
// both quotients go over to their series below |a| = 1e-4, where the neglected term is under 1e-17
// of s.
[[nodiscard]] Pose pose_after(const Arc& arc);

// The part of `arc` that is done when a fraction 0..1 of it is done.
[[nodiscard]] Arc part_of(const Arc& arc, double fraction);

// Sideways offset y (left positive) where an arc that starts at the origin along +x, with an aim
// error `aim` and curvature k, meets the tape line at forward distance x [exact circle]:
//   with a = aim:  y = (cos a − sqrt(1 − (sin a + k·x)²)) / k ... written so that k = 0 is no
//   special case: s = sin a + k·x,  y = x·(sin a + s) / (cos a + sqrt(1 − s²)).
// Where |s| > 1 the robot never reaches the line; then the answer is NaN, which the caller must
// test.
[[nodiscard]] double sideways_at_mm(double x_mm, double curvature_per_mm, double aim_rad);

// Length of the path of that arc up to the line; NaN where it never gets there.
[[nodiscard]] double path_to_line_mm(double x_mm, double curvature_per_mm, double aim_rad);

// Drift, the trade's measure of a bend: sideways offset after one metre forward from a perfect aim,
// mm per metre, left positive: y at x = 1000 mm with aim 0. A robot that bends so hard that it
// never gets a metre forward (radius under 1 m) has no such offset; it is given ±1000, the offset
// of the hardest bend that still gets there.
[[nodiscard]] double drift_mm_per_m(Curvature curvature);
// The inverse for |drift| <= 1000: k = 2y/(x² + y²), x = 1000 mm [calibration by two marks,
// docs/references.md Arc2].
[[nodiscard]] Curvature curvature_of_drift(double mm_per_m);

// The circle through the start mark and two readings (x1,y1), (x2,y2), 0 < x1 < x2: its curvature
// and the aim error it left with. Exact inverse of sideways_at_mm for both lines.
struct TwoMarkFit {
  double curvature_per_mm = 0.0;
  double aim_rad = 0.0;
};
[[nodiscard]] TwoMarkFit fit_two_marks(double x1_mm, double y1_mm, double x2_mm, double y2_mm);

}  // namespace runtrue
