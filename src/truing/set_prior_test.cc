#include "truing/set_prior.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "drive/pose.h"

namespace runtrue {
namespace {

using Drive = Run;  // within a test, `Run` is the test's own member
using Drives = std::vector<Run>;

Robot snipe() { return default_robot("Snipe", Length::from_mm(140)); }

// Exact readings of a robot with that mismatch at trim 0 and that effect of a count.
Drive straight(double mismatch, double effect, int trim, int row) {
  const double k = (mismatch + effect * trim) / 140.0;
  Drive run;
  run.level = Level{128};
  run.trim = Trim{trim};
  run.row = row;
  run.half = LineReading{Length::from_mm(700), Length::from_mm(sideways_at_mm(700, k, 0.0))};
  run.end = LineReading{Length::from_mm(1400), Length::from_mm(sideways_at_mm(1400, k, 0.0))};
  return run;
}

Truing trued(double mismatch, double effect) {
  const int best = static_cast<int>(std::lround(-mismatch / effect));
  Drives runs;
  int row = 2;
  for (const int trim : {best - 6, best + 6, best, best, best})
    runs.push_back(straight(mismatch, effect, trim, row++));
  return *true_robot(snipe(), runs);
}

std::vector<Truing> three() {
  return {trued(0.010, 0.0030), trued(-0.006, 0.0031), trued(0.002, 0.0029)};
}

TEST(SetPrior, OfFewerThanThreeTruedRobots_IsNothing) {
  auto others = three();
  others.pop_back();
  others.push_back(*true_robot(snipe(), {}));  // not trued: does not count
  EXPECT_FALSE(set_prior(others));
}

TEST(SetPrior, KnowsTheWayTheTrimWorksAndStaysWideForThree) {
  const auto prior = set_prior(three());
  ASSERT_TRUE(prior);
  EXPECT_EQ(prior->robots, 3);
  EXPECT_NEAR(prior->trim_effect_mean, 0.003, 0.0003);
  EXPECT_GT(prior->trim_effect_mean - 2.0 * prior->trim_effect_sd, 0.0);
  EXPECT_NEAR(prior->mismatch_mean, 0.002, 0.004);
  // The three spread by 0.008; by luck alone they might, if all spread several times as much.
  EXPECT_GT(prior->mismatch_sd, 0.016);
  EXPECT_LT(prior->mismatch_sd, 0.08);
}

TEST(SetPrior, OfThirtyRobots_IsNearTheirOwnSpread) {
  std::vector<Truing> many;
  for (int i = 0; i < 30; ++i) many.push_back(trued(0.01 * ((i % 5) - 2), 0.003));
  const auto prior = set_prior(many);
  ASSERT_TRUE(prior);
  EXPECT_NEAR(prior->mismatch_sd, 0.01 * std::sqrt(2.0), 0.006);
  EXPECT_NE(set_words(*prior).find("(by 30 of them)"), std::string::npos);
}

TEST(SetPrior, MakesTheFourthRobotTrueInFewerRuns) {
  const double mismatch = 0.0366, effect = 0.003;  // straight near -12
  const auto runs_needed = [&](const TruingOptions& options) {
    Drives runs;
    Truing truing = *true_robot(snipe(), runs, options);
    while (truing.verdict == Verdict::kMoreRuns && runs.size() < 10) {
      runs.push_back(straight(mismatch, effect, truing.next_run->trim.value,
                              2 + static_cast<int>(runs.size())));
      truing = *true_robot(snipe(), runs, options);
    }
    EXPECT_EQ(truing.verdict, Verdict::kInTolerance) << truing.reason;
    return runs.size();
  };
  TruingOptions with_set;
  with_set.set = set_prior(three());
  EXPECT_LT(runs_needed(with_set), runs_needed({}));
}

}  // namespace
}  // namespace runtrue
