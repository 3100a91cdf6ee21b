#include "drive/pose.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "drive/robot.h"
#include "drive/settings.h"

namespace runtrue {
namespace {

// Closed forms with a handful of roundings on lengths up to 10 m: 1e-9 mm is four orders above
// them.
constexpr double kExact_mm = 1e-9;
constexpr double kExact_rad = 1e-12;

Pose pose(double x_mm, double y_mm, double deg) {
  return {Length::from_mm(x_mm), Length::from_mm(y_mm), Angle::from_deg(deg)};
}

void expect_same(const Pose& a, const Pose& b) {
  EXPECT_NEAR(a.x.mm(), b.x.mm(), kExact_mm);
  EXPECT_NEAR(a.y.mm(), b.y.mm(), kExact_mm);
  EXPECT_NEAR(a.heading.rad(), b.heading.rad(), kExact_rad);
}

Pose any_pose() {
  return pose(*rc::gen::inRange(-2000, 2000), *rc::gen::inRange(-2000, 2000),
              *rc::gen::inRange(-720, 720));
}

RC_GTEST_PROP(Pose, InverseUndoesIt, ()) {
  const Pose p = any_pose();
  expect_same(compose(p, inverse(p)), pose(0, 0, 0));
  expect_same(compose(inverse(p), p), pose(0, 0, 0));
}

RC_GTEST_PROP(Pose, CompositionIsAssociative, ()) {
  const Pose a = any_pose(), b = any_pose(), c = any_pose();
  expect_same(compose(compose(a, b), c), compose(a, compose(b, c)));
}

// At zero, inside the series, at its border and at ordinary size: an arc is its two halves one
// after the other.
TEST(Arc, IsItsTwoHalvesOneAfterTheOther) {
  for (const double turn : {0.0, 1e-8, 0.99e-4, 1.01e-4, -0.3, 2.5, -9.0}) {
    for (const double length_mm : {0.0, 700.0, -250.0}) {
      const Arc arc{Length::from_mm(length_mm), Angle::from_rad(turn)};
      const Pose half = pose_after(part_of(arc, 0.5));
      expect_same(pose_after(arc), compose(half, half));
    }
  }
}

TEST(Arc, StraightTurnOnTheSpotAndBackwardAreItsCases) {
  expect_same(pose_after({Length::from_mm(300), Angle()}), pose(300, 0, 0));
  expect_same(pose_after({Length(), Angle::from_deg(-90)}), pose(0, 0, -90));
  expect_same(pose_after({Length::from_mm(-200), Angle()}), pose(-200, 0, 0));
  const double radius_mm = 150;
  const Length quarter = Length::from_mm(radius_mm * std::acos(0.0));
  expect_same(pose_after({quarter, Angle::from_deg(90)}), pose(150, 150, 90));
  // Backward along the same circle and back to the start.
  expect_same(compose(pose_after({quarter, Angle::from_deg(90)}),
                      pose_after({-quarter, Angle::from_deg(-90)})),
              pose(0, 0, 0));
}

TEST(TwoMarks, FindCurvatureAndAimExactly) {
  for (const double curvature : {0.0, 1e-8, 2e-5, -3.6e-4, 6e-4}) {
    for (const double aim : {0.0, 0.02, -0.035}) {
      const double y1 = sideways_at_mm(700, curvature, aim);
      const double y2 = sideways_at_mm(1400, curvature, aim);
      const auto fit = fit_two_marks(700, y1, 1400, y2);
      EXPECT_NEAR(fit.curvature_per_mm, curvature, 1e-15);
      EXPECT_NEAR(fit.aim_rad, aim, kExact_rad);
    }
  }
}

TEST(SidewaysAtLine, LiesOnTheArcThatIsDriven) {
  for (const double curvature : {0.0, 1e-8, 3e-4, -6e-4}) {
    const double aim = 0.03;
    const double way_mm = path_to_line_mm(1000, curvature, aim);
    const Pose start{Length(), Length(), Angle::from_rad(aim)};
    const Pose end =
        compose(start, pose_after({Length::from_mm(way_mm), Angle::from_rad(curvature * way_mm)}));
    EXPECT_NEAR(end.x.mm(), 1000.0, kExact_mm);
    EXPECT_NEAR(end.y.mm(), sideways_at_mm(1000, curvature, aim), kExact_mm);
  }
}

TEST(SidewaysAtLine, IsNotANumberWhereTheRobotNeverGetsThere) {
  EXPECT_TRUE(std::isnan(sideways_at_mm(1400, 1.0 / 600, 0)));
}

TEST(Drift, IsTheOffsetAfterOneMetreAndInvertsExactly) {
  for (const double drift : {0.0, 10.0, -178.0, 900.0}) {
    EXPECT_NEAR(drift_mm_per_m(curvature_of_drift(drift)), drift, kExact_mm);
  }
  EXPECT_EQ(drift_mm_per_m(Curvature::from_per_mm(-1.0 / 300)), -1000.0);
}

ConstantVector some_constants() {
  ConstantVector c{};
  c[static_cast<std::size_t>(Constant::kMismatchForward)] = 0.04;
  c[static_cast<std::size_t>(Constant::kMismatchReverse)] = -0.02;
  c[static_cast<std::size_t>(Constant::kMismatchByLevel)] = 0.03;
  c[static_cast<std::size_t>(Constant::kTrimEffect)] = -0.004;
  c[static_cast<std::size_t>(Constant::kLogSpeedGain)] = std::log(1.6);
  c[static_cast<std::size_t>(Constant::kDeadBand)] = 28;
  c[static_cast<std::size_t>(Constant::kLostTimeStraight)] = 0.1;
  c[static_cast<std::size_t>(Constant::kLogTurnGainLeft)] = std::log(0.023);
  c[static_cast<std::size_t>(Constant::kLogTurnGainRight)] = std::log(0.022);
  c[static_cast<std::size_t>(Constant::kLostTimeTurn)] = 0.05;
  return c;
}

TEST(DriveModel, AStraightBendsByMismatchOverTrackWidthAndTrimTakesItOut) {
  const Robot robot = default_robot("Dunlin", Length::from_mm(140));
  const ConstantVector c = some_constants();
  EXPECT_NEAR(straight_curvature(c, robot, Level{128}, Trim{0}).per_mm(), 0.04 / 140, 1e-15);
  EXPECT_NEAR(straight_curvature(c, robot, Level{128}, Trim{10}).per_mm(), 0.0, 1e-15);
  EXPECT_NEAR(straight_curvature(c, robot, Level{64}, Trim{10}).per_mm(), 0.03 / 140, 1e-15);
  EXPECT_NEAR(mismatch(c, robot, Level{-128}, Trim{0}), -0.02, 1e-15);
}

TEST(DriveModel, ATimedStraightLosesItsLostTime) {
  const Robot robot = default_robot("Dunlin", Length::from_mm(140));
  const Arc arc = arc_of(some_constants(), robot, {Level{128}, Level{128}, 1100}, Trim{10});
  EXPECT_NEAR(arc.length.mm(), 1.6 * 100 * 1.0, 1e-9);
  EXPECT_NEAR(arc.turn.rad(), 0.0, 1e-12);
}

TEST(DriveModel, ATurnOnTheSpotGoesAtItsOwnGainEachWay) {
  const Robot robot = default_robot("Dunlin", Length::from_mm(140));
  const Arc left = arc_of(some_constants(), robot, {Level{-128}, Level{128}, 1050}, Trim{10});
  const Arc right = arc_of(some_constants(), robot, {Level{128}, Level{-128}, 1050}, Trim{10});
  EXPECT_NEAR(left.turn.rad(), 2.3, 1e-12);
  EXPECT_NEAR(right.turn.rad(), -2.2, 1e-12);
  EXPECT_EQ(left.length.mm(), 0.0);
}

TEST(DriveModel, WithinTheDeadBandOrTheLostTimeNothingMoves) {
  const Robot robot = default_robot("Dunlin", Length::from_mm(140));
  EXPECT_EQ(arc_of(some_constants(), robot, {Level{20}, Level{20}, 5000}, Trim{0}).length.mm(),
            0.0);
  EXPECT_EQ(arc_of(some_constants(), robot, {Level{128}, Level{128}, 90}, Trim{0}).length.mm(),
            0.0);
}

TEST(RobotCheck, NamesTheFieldTheValueAndTheRange) {
  Robot robot = default_robot("Dunlin", Length::from_mm(14));
  EXPECT_EQ(check_robot(robot).error().message,
            "track_width_mm is 14, expected 20 to 1000 millimetres (typed in centimetres?)");
  robot.track_width = Length::from_mm(140);
  EXPECT_TRUE(check_robot(robot));
  robot.trim_range = {Trim{30}, Trim{-30}};
  EXPECT_EQ(check_robot(robot).error().message,
            "trim_range is [30, -30], expected the lower end first");
}

}  // namespace
}  // namespace runtrue
