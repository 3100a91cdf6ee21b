#include "link/bench_person.h"

#include <gtest/gtest.h>

#include <cmath>

namespace runtrue {
namespace {

constexpr Level kUsual{128};
constexpr Trim kNoTrim{0};
const Length kHalf = Length::from_mm(600);
const Length kEnd = Length::from_mm(1200);

BenchPerson exact_person() {
  BenchPerson person;
  person.aim_sd_deg = person.placed_sideways_sd_mm = person.tape_sd_mm = person.turn_read_sd_deg =
      0;
  person.blunder_probability = 0;
  return person;
}

VirtualRobot bending_robot(double right_ratio) {
  HiddenTruth truth;
  truth.robot = default_robot("Knot", Length::from_mm(140));
  truth.right.top_speed_mm_per_s *= right_ratio;
  truth.chance = {0.0, 0.0, 0.0, 0.0};
  truth.left.run_out = truth.right.run_out = 0.0;
  return VirtualRobot(truth);
}

TEST(BenchPerson, ExactReadingsAtTwoLines_GiveBackTheTrueCurvature) {
  VirtualRobot robot = bending_robot(1.02);
  Rng rng(1);
  const double k = robot.true_curvature(kUsual, kNoTrim).per_mm();
  const auto noted = run_two_lines(robot, exact_person(), kUsual, kNoTrim, kHalf, kEnd, rng);
  ASSERT_TRUE(noted && noted->run.half);
  const TwoMarkFit fit =
      fit_two_marks(600, noted->run.half->sideways.mm(), 1200, noted->run.end->sideways.mm());
  // Half a millimetre of rounding at each line: |dk| = 2(dy2·x1 + dy1·x2)/(x1·x2·(x2 − x1)).
  constexpr double kRounding_per_mm = 2.0 * 0.5 * 1800.0 / (600.0 * 1200.0 * 600.0);
  EXPECT_NEAR(fit.curvature_per_mm, k, kRounding_per_mm);
}

TEST(BenchPerson, ReverseRun_BendsToTheSameSideOfTheRobotAsItsCurvature) {
  VirtualRobot robot = bending_robot(1.03);
  Rng rng(1);
  ASSERT_GT(robot.true_curvature({-128}, kNoTrim).per_mm(), 0.0);
  const auto noted = run_one_line(robot, exact_person(), {-128}, kNoTrim, kEnd, rng);
  ASSERT_TRUE(noted);
  EXPECT_GT(noted->run.end->sideways.mm(), 0.0);
  EXPECT_EQ(noted->run.end->line.mm(), 1200.0);
}

TEST(BenchPerson, HardBend_IsNotedWhereItLeftTheStrip) {
  VirtualRobot robot = bending_robot(1.15);
  Rng rng(1);
  const auto noted = run_two_lines(robot, exact_person(), kUsual, kNoTrim, kHalf, kEnd, rng);
  ASSERT_TRUE(noted);
  EXPECT_LT(noted->run.end->line.mm(), 1200.0);
  EXPECT_NEAR(noted->run.end->sideways.mm(), 400.0, 5.0);  // one place of the path later
}

TEST(BenchPerson, LevelBelowStart_NotesNothing) {
  VirtualRobot robot = bending_robot(1.0);
  Rng rng(1);
  EXPECT_FALSE(run_two_lines(robot, exact_person(), {40}, kNoTrim, kHalf, kEnd, rng));
  EXPECT_FALSE(run_turn(robot, exact_person(), {40}, kNoTrim, Duration::from_s(1), true, rng));
}

TEST(BenchPerson, TurnToTheRight_IsNotedNegativeInWholeSteps) {
  VirtualRobot robot = bending_robot(1.0);
  BenchPerson person = exact_person();
  person.turn_noted_to_deg = 5;
  Rng rng(1);
  const auto noted = run_turn(robot, person, kUsual, kNoTrim, Duration::from_s(1), false, rng);
  ASSERT_TRUE(noted);
  const double deg = noted->run.turned->deg();
  EXPECT_LT(deg, -30.0);
  EXPECT_NEAR(std::remainder(deg, 5.0), 0.0, 1e-9);
}

TEST(BenchPerson, ManyRuns_AllPassTheirCheckAndSlipAsOftenAsStated) {
  Rng rng(99);
  BenchPerson person;
  person.blunder_probability = 0.1;
  int runs = 0, blunders = 0;
  for (int i = 0; i < 200; ++i) {
    VirtualRobot robot = draw_virtual_robot(rng);
    const auto note = [&](const std::optional<NotedRun>& noted) {
      if (!noted) return;
      ++runs;
      blunders += noted->blunder == Blunder::kNone ? 0 : 1;
      const auto& run = noted->run;
      if (run.end) {
        EXPECT_GT(run.end->line.mm(), 0.0);
        EXPECT_LE(std::abs(run.end->sideways.mm()), run.end->line.mm());
        if (run.half) {
          EXPECT_LT(run.half->line, run.end->line);
        }
      }
    };
    for (int trim = -10; trim <= 10; trim += 10) {
      note(run_two_lines(robot, person, kUsual, {trim}, kHalf, kEnd, rng));
      note(run_one_line(robot, person, {-128}, {trim}, kEnd, rng));
    }
    note(run_timed(robot, person, kUsual, kNoTrim, Duration::from_s(2), rng));
    note(run_turn(robot, person, kUsual, kNoTrim, Duration::from_s(1), true, rng));
  }
  EXPECT_GT(runs, 1500);
  // Binomial with p = 0.1: five sd either way.
  const double sd = std::sqrt(runs * 0.1 * 0.9);
  EXPECT_NEAR(blunders, 0.1 * runs, 5 * sd);
}

TEST(BenchPerson, SameSeed_NotesTheSameRuns) {
  Rng a(5), b(5);
  VirtualRobot first = draw_virtual_robot(a);
  VirtualRobot second = draw_virtual_robot(b);
  const auto x = run_two_lines(first, BenchPerson(), kUsual, kNoTrim, kHalf, kEnd, a);
  const auto y = run_two_lines(second, BenchPerson(), kUsual, kNoTrim, kHalf, kEnd, b);
  ASSERT_TRUE(x && y);
  EXPECT_EQ(x->run.end->sideways.mm(), y->run.end->sideways.mm());
}

}  // namespace
}  // namespace runtrue
