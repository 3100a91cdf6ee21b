#include "truing/still_true.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "drive/pose.h"

namespace runtrue {
namespace {

using Drive = Run;  // within a test, `Run` is the test's own member
using Drives = std::vector<Run>;

Robot ruff() { return default_robot("Ruff", Length::from_mm(140)); }

Drive straight(int trim, double drift, int row) {
  const double k = curvature_of_drift(drift).per_mm();
  Drive run;
  run.level = Level{128};
  run.trim = Trim{trim};
  run.row = row;
  run.half = LineReading{Length::from_mm(700), Length::from_mm(sideways_at_mm(700, k, 0.0))};
  run.end = LineReading{Length::from_mm(1400), Length::from_mm(sideways_at_mm(1400, k, 0.0))};
  return run;
}

// Straight at trim 3, drift 1 mm/m.
Truing trued() {
  return *true_robot(ruff(), Drives{straight(0, -29, 2), straight(6, 32, 3), straight(3, 1, 4),
                                    straight(3, 3, 5), straight(3, -1, 6)});
}

Drives checks(const std::vector<double>& drifts) {
  Drives runs;
  for (const double d : drifts) runs.push_back(straight(3, d, 2 + static_cast<int>(runs.size())));
  return runs;
}

CheckWord word(const std::vector<double>& drifts) {
  return check_robot_runs(ruff(), trued(), checks(drifts))->word;
}

TEST(Check, LikeTheRunsBefore_IsStillTrue) {
  EXPECT_EQ(word({2}), CheckWord::kStillTrue);
  EXPECT_EQ(word({2, -2, 4, 0, -3, 5}), CheckWord::kStillTrue);
}

TEST(Check, FarOffAtOnce_IsAJumpFoundByOneRun) {
  const CheckOutcome outcome = *check_robot_runs(ruff(), trued(), checks({1, 2, 45}));
  EXPECT_EQ(outcome.word, CheckWord::kJumped);
  EXPECT_EQ(outcome.since, 2U);
  EXPECT_NE(outcome.sentence.find("45 mm to the left"), std::string::npos) << outcome.sentence;
  EXPECT_EQ(word({-45}), CheckWord::kJumped);
}

TEST(Check, CreepingAway_IsASlowDriftThoughNoSingleRunIsFarOff) {
  const CheckOutcome outcome =
      *check_robot_runs(ruff(), trued(), checks({2, 5, 8, 11, 13, 14, 15, 14, 15, 14}));
  EXPECT_EQ(outcome.word, CheckWord::kDrifting) << outcome.sentence;
  for (const double d : outcome.drifts_mm_per_m)
    EXPECT_LT(std::abs(d - outcome.expected_mm_per_m), outcome.jump_limit_mm_per_m);
}

TEST(Check, AtAnotherTrimOrLevel_IsRefusedWithItsRow) {
  Drives runs = checks({1, 2});
  runs[1].trim = Trim{4};
  const auto answer = check_robot_runs(ruff(), trued(), runs);
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().place.line, 3);
  EXPECT_NE(answer.error().message.find("expected trim 3 and level 128"), std::string::npos);
}

TEST(Check, OfARobotNeverTrued_OrWithoutAnyCheck_IsRefused) {
  EXPECT_FALSE(check_robot_runs(ruff(), *true_robot(ruff(), {}), checks({1})));
  EXPECT_FALSE(check_robot_runs(ruff(), trued(), {}));
}

TEST(SharedCause, IsNamedOnlyWhenMostOfTheSetChanged) {
  CheckOutcome same, jumped;
  jumped.word = CheckWord::kJumped;
  EXPECT_FALSE(shared_cause(std::vector{jumped, jumped}));
  EXPECT_FALSE(shared_cause(std::vector{jumped, same, same, same}));
  EXPECT_FALSE(shared_cause(std::vector{jumped, jumped, same, same}));
  const auto cause = shared_cause(std::vector{jumped, jumped, jumped, same});
  ASSERT_TRUE(cause);
  EXPECT_EQ(cause->find("3 of 4 robots changed together"), 0U);
}

}  // namespace
}  // namespace runtrue
