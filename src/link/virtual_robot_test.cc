#include "link/virtual_robot.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace runtrue {
namespace {

constexpr Level kSlow{128};
constexpr Trim kEven{0};

// Alike wheels without chance: what is left is the description.
HiddenTruth quiet_truth() {
  HiddenTruth truth;
  truth.robot = default_robot("Dunlin", Length::from_mm(140));
  truth.chance = {0.0, 0.0, 0.0, 0.0};
  truth.left.run_out = truth.right.run_out = 0.0;
  truth.droop_per_s = 0.0;
  return truth;
}

WheelCommand straight(int level, int ms) { return {{level}, {level}, ms}; }

TEST(VirtualRobot, AlikeWheelsWithoutChance_RunStraight) {
  VirtualRobot robot(quiet_truth());
  Rng rng(1);
  const Pose end = robot.drive(straight(128, 3000), kEven, rng).end();
  EXPECT_EQ(end.y.mm(), 0.0);
  EXPECT_EQ(end.heading.rad(), 0.0);
  EXPECT_GT(end.x.mm(), 100.0);
}

TEST(VirtualRobot, TimedStraight_GoesSpeedTimesTimeLessTheLostTime) {
  VirtualRobot robot(quiet_truth());
  Rng rng(1);
  const double v = robot.true_speed(kSlow, kEven).mm_per_s();
  const HiddenMotor& motor = robot.truth().left;
  // First-order rise loses one time constant, the run-down gives its own back; after the lag.
  const double lost_s = motor.start_lag_s + motor.spin_up_s - motor.spin_down_s;
  const double end_mm = robot.drive(straight(128, 3000), kEven, rng).end().x.mm();
  constexpr double kStepping_mm = 1.0;  // half a step of 2 ms at this speed, and the cut run-down
  EXPECT_NEAR(end_mm, v * (3.0 - lost_s), kStepping_mm);
}

TEST(VirtualRobot, SaturatingSpeed_IsBetweenTheStraightLineAndFull) {
  HiddenTruth truth = quiet_truth();
  truth.left.saturation = truth.right.saturation = 0.0;
  const double line = VirtualRobot(truth).true_speed(kSlow, kEven).mm_per_s();
  truth.left.saturation = truth.right.saturation = 4.0;
  const double bent = VirtualRobot(truth).true_speed(kSlow, kEven).mm_per_s();
  EXPECT_GT(bent, line);
  EXPECT_LT(bent, truth.left.top_speed_mm_per_s);
}

TEST(VirtualRobot, LevelBetweenDeadBandAndStart_DoesNotGetGoing) {
  VirtualRobot robot(quiet_truth());  // dead band 0.15, start 0.20 of 255
  Rng rng(1);
  EXPECT_FALSE(robot.drive(straight(45, 1000), kEven, rng).started);
  EXPECT_EQ(robot.drive(straight(45, 1000), kEven, rng).end().x.mm(), 0.0);
  EXPECT_TRUE(robot.drive(straight(55, 1000), kEven, rng).started);
}

TEST(VirtualRobot, FasterRightWheel_BendsLeftByItsTrueCurvature) {
  HiddenTruth truth = quiet_truth();
  truth.right.top_speed_mm_per_s *= 1.05;
  VirtualRobot robot(truth);
  Rng rng(1);
  const double k = robot.true_curvature(kSlow, kEven).per_mm();
  EXPECT_NEAR(k, 2.0 * 0.05 / 2.05 / 140.0, 1e-12);  // m/b with m = 2(r − l)/(r + l); rounding only
  const DrivenPath path = robot.drive(straight(128, 5000), kEven, rng);
  const double way = robot.true_speed(kSlow, kEven).mm_per_s() *
                     (5.0 - truth.left.start_lag_s - truth.left.spin_up_s + truth.left.spin_down_s);
  constexpr double kStepping_rad = 1e-3;
  EXPECT_NEAR(path.end().heading.rad(), k * way, kStepping_rad);
}

TEST(VirtualRobot, TrimAtItsBest_LeavesLessThanOneCountOfBend) {
  HiddenTruth truth = quiet_truth();
  truth.right.top_speed_mm_per_s *= 1.04;
  for (const int share : {-20, 20}) {
    truth.trim_share = share;
    const VirtualRobot robot(truth);
    const Trim best = robot.true_best_trim(kSlow);
    EXPECT_EQ(best.value<0, share> 0);
    const double left_over = std::abs(robot.true_curvature(kSlow, best).per_mm());
    const double count = std::abs(robot.true_curvature(kSlow, {best.value + 1}).per_mm() -
                                  robot.true_curvature(kSlow, best).per_mm());
    EXPECT_LE(left_over, 0.55 * count);  // half a count, and the output's rounding
  }
}

TEST(VirtualRobot, TurnOnTheSpot_TurnsLeftForPositiveAndHardlyMovesAway) {
  VirtualRobot robot(quiet_truth());
  Rng rng(1);
  const Pose end = robot.drive({{-128}, {128}, 1000}, kEven, rng).end();
  EXPECT_GT(end.heading.deg(), 30.0);
  EXPECT_NEAR(end.x.mm(), 0.0, 1e-9);
}

TEST(VirtualRobot, SameSeed_GivesTheSameBits) {
  Rng a(7), b(7);
  VirtualRobot first = draw_virtual_robot(a);
  VirtualRobot second = draw_virtual_robot(b);
  const Pose p = first.drive(straight(128, 2000), {3}, a).end();
  const Pose q = second.drive(straight(128, 2000), {3}, b).end();
  EXPECT_EQ(p.x.mm(), q.x.mm());
  EXPECT_EQ(p.y.mm(), q.y.mm());
  EXPECT_EQ(p.heading.rad(), q.heading.rad());
}

TEST(VirtualRobot, MotorsOn_DrainTheBatteryUntilCharged) {
  HiddenTruth truth = quiet_truth();
  truth.droop_per_s = 0.01;
  VirtualRobot robot(truth);
  Rng rng(1);
  const double fresh = robot.true_speed(kSlow, kEven).mm_per_s();
  robot.drive(straight(128, 5000), kEven, rng);
  EXPECT_LT(robot.true_speed(kSlow, kEven).mm_per_s(), fresh);
  EXPECT_NEAR(robot.battery_v(), 4.8 * 0.95, 1e-9);
  robot.charge();
  EXPECT_EQ(robot.true_speed(kSlow, kEven).mm_per_s(), fresh);
}

TEST(VirtualRobot, BumpOnTheWay_TurnsTheHeadingByIt) {
  VirtualRobot robot(quiet_truth());
  Rng rng(1);
  DriveExtras extras;
  extras.bumps.push_back({100.0, 0.2});
  EXPECT_NEAR(robot.drive(straight(128, 3000), kEven, rng, extras).end().heading.rad(), 0.2, 1e-12);
}

// The population is what its comment says it is.
TEST(Population, MismatchAtTheUsualLevel_HasAnSdOfAboutFivePercent) {
  Rng rng(2026);
  constexpr int kRobots = 1000;  // the sd of a sample sd of 1000 normals is 2.2 % of it
  double squares = 0.0;
  for (int i = 0; i < kRobots; ++i) {
    const VirtualRobot robot = draw_virtual_robot(rng);
    squares += std::pow(robot.true_curvature(kSlow, kEven).per_mm() * 140.0, 2);
  }
  EXPECT_GT(std::sqrt(squares / kRobots), 0.04);
  EXPECT_LT(std::sqrt(squares / kRobots), 0.06);
}

TEST(Population, OneCountOfTrim_ChangesTheSpeedRatioByTwoToSixThousandths) {
  Rng rng(2026);
  std::vector<double> effects;
  int negative = 0;
  for (int i = 0; i < 1000; ++i) {
    const VirtualRobot robot = draw_virtual_robot(rng);
    const double effect =
        (robot.true_curvature(kSlow, {10}).per_mm() - robot.true_curvature(kSlow, {-10}).per_mm()) *
        140.0 / 20.0;
    negative += effect < 0.0 ? 1 : 0;
    effects.push_back(std::abs(effect));
  }
  std::sort(effects.begin(), effects.end());
  EXPECT_GT(effects[50], 0.0015);
  EXPECT_LT(effects[950], 0.0065);
  EXPECT_GT(negative, 400);
  EXPECT_LT(negative, 600);
}

TEST(Population, EveryRobot_GetsGoingAtItsUsualLevelAndPassesItsOwnCheck) {
  Rng rng(2026);
  for (int i = 0; i < 500; ++i) {
    VirtualRobot robot = draw_virtual_robot(rng);
    EXPECT_TRUE(check_robot(robot.robot()));
    EXPECT_TRUE(robot.drive(straight(128, 200), kEven, rng).started) << i;
    EXPECT_TRUE(robot.drive(straight(-128, 200), kEven, rng).started) << i;
  }
}

}  // namespace
}  // namespace runtrue
