// Straight runs, turns and arcs against relations worked out elsewhere and an independent
// integrator.
//
// Sources: the circle through a start mark and one or two readings, its worked numbers computed
// independently of this code with exact arithmetic on the relations R = (x² + y²)/(2y) and
// 1/R = 2(y2·x1 − y1·x2)/(x1·x2·(x2 − x1)) [Arc2]; the turn constant b·commanded/measured of the
// published bidirectional square procedure [Bore96]; Boost.Odeint as the integrator.
#include <gtest/gtest.h>

#include <array>
#include <boost/numeric/odeint.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "drive/pose.h"
#include "truing/run.h"

namespace runtrue {
namespace {

// Printed to ten or more digits; the last one printed may be off by one.
constexpr double kPrinted = 1e-9;

struct OneMark {
  double x_mm, y_mm, track_mm, radius_mm, turn_rad, path_mm, speed_ratio;
};
constexpr std::array<OneMark, 1> kWorked{
    {{1000.0, 50.0, 100.0, 10025.0, 0.0999167914, 1001.6658342, 1.010025062657}}};

TEST(OneMark, GivesTheWorkedRadiusTurnPathAndWheelRatio) {
  for (const OneMark& w : kWorked) {
    const TwoMarkFit through = {2.0 * w.y_mm / (w.x_mm * w.x_mm + w.y_mm * w.y_mm), 0.0};
    EXPECT_NEAR(1.0 / through.curvature_per_mm, w.radius_mm, 1e-6);
    const double path = path_to_line_mm(w.x_mm, through.curvature_per_mm, 0.0);
    EXPECT_NEAR(path, w.path_mm, 1e-6);  // printed to 1e-7 m
    EXPECT_NEAR(path * through.curvature_per_mm, w.turn_rad, 1e-10);
    EXPECT_NEAR(sideways_at_mm(w.x_mm, through.curvature_per_mm, 0.0), w.y_mm, kPrinted);
    const double radius = 1.0 / through.curvature_per_mm, half = w.track_mm / 2.0;
    EXPECT_NEAR((radius + half) / (radius - half), w.speed_ratio, 1e-11);
  }
}

TEST(OneMark, DriftAndCurvatureAreEachOthersInverse_ToTheRight) {
  // x = 1 m, y = −20 mm: R = −25.01 m.
  EXPECT_NEAR(1.0 / curvature_of_drift(-20.0).per_mm(), -25010.0, 1e-6);
  EXPECT_NEAR(drift_mm_per_m(curvature_of_drift(-20.0)), -20.0, kPrinted);
}

TEST(OneMark, AtAnotherLine_GivesTheWorkedRatio) {
  // x = 0.8 m, y = 30 mm, b = 85 mm: R = 10.6816666667 m, wheel ratio 1.007989347537.
  const double curvature = 2.0 * 30.0 / (800.0 * 800.0 + 30.0 * 30.0);
  EXPECT_NEAR(1.0 / curvature, 10681.6666667, 1e-6);
  EXPECT_NEAR((1.0 / curvature + 42.5) / (1.0 / curvature - 42.5), 1.007989347537, 1e-11);
  EXPECT_NEAR(sideways_at_mm(800.0, curvature, 0.0), 30.0, kPrinted);
}

TEST(PlacementError, OfOneDegree_Is17455MicrometresAtAMetreAndGrowsInProportion) {
  const double aim = std::numbers::pi / 180.0;
  EXPECT_NEAR(sideways_at_mm(1000.0, 0.0, aim), 17.455, 5e-4);  // printed to a micrometre
  EXPECT_NEAR(sideways_at_mm(500.0, 0.0, aim), 17.455 / 2.0, 5e-4);
}

TEST(PlacementError, IsLinearWhereABendIsQuadratic_SoTwoMarksPartThem) {
  const double aim = std::numbers::pi / 180.0, curvature = curvature_of_drift(34.0).per_mm();
  const TwoMarkFit fit = fit_two_marks(700.0, sideways_at_mm(700.0, curvature, aim), 1400.0,
                                       sideways_at_mm(1400.0, curvature, aim));
  EXPECT_NEAR(fit.aim_rad, aim, 1e-12);
  EXPECT_NEAR(fit.curvature_per_mm, curvature, 1e-15);
}

TEST(TwoMarks, AgreeWithThePublishedFirstOrderRelation_AsFarAsItHolds) {
  // The relation neglects terms of the order of (y/x)²; with 1 % slopes these are 1e-4 of the bend.
  const double x1 = 600.0, y1 = 4.0, x2 = 1200.0, y2 = 12.0;
  const double first_order = 2.0 * (y2 * x1 - y1 * x2) / (x1 * x2 * (x2 - x1));
  const TwoMarkFit fit = fit_two_marks(x1, y1, x2, y2);
  EXPECT_NEAR(fit.curvature_per_mm / first_order, 1.0, 3e-4);
}

TEST(TurnConstant, OfTheBidirectionalSquare_IsTrackTimesCommandedByMeasured) {
  // 360 degrees commanded, 351 measured: the track acts 1.0256410256 times as wide. A turn on the
  // spot with wheel ways ±s turns by 2s/b.
  const double track = 100.0, way = std::numbers::pi * track;  // commanded: a full round
  const double acting = track * 360.0 / 351.0;
  EXPECT_NEAR(acting / track, 1.0256410256, 1e-10);
  const Pose after = pose_after({Length(), Angle::from_rad(2.0 * way / acting)});
  EXPECT_NEAR(after.heading.deg(), 351.0, 1e-9);
}

// dx/ds = cos θ, dy/ds = sin θ, dθ/ds = k, integrated to 1e-13 per step.
using State = std::array<double, 3>;
State integrated(double length_mm, double turn_rad) {
  namespace ode = boost::numeric::odeint;
  State state{0.0, 0.0, 0.0};
  const auto slope = [&](const State& s, State& d, double) {
    d = {length_mm * std::cos(s[2]), length_mm * std::sin(s[2]), turn_rad};
  };
  ode::integrate_adaptive(ode::make_controlled<ode::runge_kutta_dopri5<State>>(1e-13, 1e-13), slope,
                          state, 0.0, 1.0, 1e-3);
  return state;
}

TEST(Arc, ClosedForm_AgreesWithAnIndependentIntegratorTo1e9) {
  std::mt19937_64 rng(7);
  const auto between = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(rng() >> 11U) * 0x1p-53);
  };
  for (int i = 0; i < 200; ++i) {
    const double length = between(-2000.0, 2000.0);
    // Both sides of the series' switch-over, and full rounds.
    const double size = std::pow(10.0, between(-7.0, 1.0));
    const double turn = i % 2 == 0 ? size : -size;
    const Pose closed = pose_after({Length::from_mm(length), Angle::from_rad(turn)});
    const State by_steps = integrated(length, turn);
    // 1e-9 of the arc's length: the integrator's own tolerance times its few hundred steps.
    const double bound = 1e-9 * std::max(std::abs(length), 1.0);
    EXPECT_NEAR(closed.x.mm(), by_steps[0], bound) << length << " mm, " << turn << " rad";
    EXPECT_NEAR(closed.y.mm(), by_steps[1], bound) << length << " mm, " << turn << " rad";
    EXPECT_NEAR(closed.heading.rad(), by_steps[2], 1e-9);
  }
}

}  // namespace
}  // namespace runtrue
