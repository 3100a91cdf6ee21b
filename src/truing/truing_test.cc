// What a lead may rely on, as claims.
#include "truing/truing.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "drive/pose.h"
#include "truing/internal/mixture.h"
#include "truing/words.h"

namespace runtrue {
namespace {

using Drive = Run;  // within a test, `Run` is the test's own member
using Drives = std::vector<Run>;

Robot knot() { return default_robot("Knot", Length::from_mm(140)); }

// A robot by the model alone, and a person with a tape, seeded.
struct Planted {
  double mismatch = 0.03;      // at trim 0
  double trim_effect = 0.004;  // of a count
  double scatter_drift = 3.0;  // mm/m, sd of a run
  double tape_sd_mm = 1.5;
  double aim_sd_rad = 0.017;
};

class Bench {
 public:
  Bench(Planted planted, std::uint64_t seed) : planted_(planted), rng_(seed) {}

  double uniform() { return (static_cast<double>(rng_() >> 11U) + 0.5) * 0x1p-53; }
  double normal() { return unit_.quantile(uniform()); }

  [[nodiscard]] double true_drift(Trim trim) const {
    return drift_mm_per_m(Curvature::from_per_mm(curvature(trim)));
  }

  Drive straight(Trim trim, int row) {
    const double k =
        curvature(trim) + curvature_of_drift(1.0).per_mm() * planted_.scatter_drift * normal();
    const double aim = planted_.aim_sd_rad * normal();
    Drive run;
    run.level = Level{128};
    run.trim = trim;
    run.row = row;
    const double half = sideways_at_mm(700, k, aim), end = sideways_at_mm(1400, k, aim);
    if (!std::isnan(end) && std::abs(end) < 400) {
      run.half = reading(700, half);
      run.end = reading(1400, end);
    } else {  // left the strip of 400 mm either side: noted where it left
      double x = 1400;
      while (std::isnan(sideways_at_mm(x, k, aim)) || std::abs(sideways_at_mm(x, k, aim)) > 400)
        x -= 1;
      run.end = reading(x, sideways_at_mm(x, k, aim));
    }
    return run;
  }

 private:
  [[nodiscard]] double curvature(Trim trim) const {
    return (planted_.mismatch + planted_.trim_effect * trim.value) / 140.0;
  }
  LineReading reading(double x_mm, double y_mm) {
    return {Length::from_mm(x_mm),
            Length::from_mm(std::round(y_mm + planted_.tape_sd_mm * normal()))};
  }

  Planted planted_;
  std::mt19937_64 rng_;
  internal::NormalMixture unit_{{{1.0, 0.0, 1.0}}};
};

Drive one_line(int trim, double sideways_mm, int row, double line_mm = 1000) {
  Drive run;
  run.level = Level{128};
  run.trim = Trim{trim};
  run.row = row;
  run.end = LineReading{Length::from_mm(line_mm), Length::from_mm(sideways_mm)};
  return run;
}

Drive two_lines(int trim, double half_mm, double end_mm, int row) {
  Drive run = one_line(trim, end_mm, row, 1400);
  run.half = LineReading{Length::from_mm(700), Length::from_mm(half_mm)};
  return run;
}

// The slips that the priors expect: one run in a hundred noted to the other side, one in fifty
// bumped.
void spoil(Drive& run, Bench& chance) {
  const double luck = chance.uniform();
  if (luck < 0.01) {
    if (run.half) run.half->sideways = -run.half->sideways;
    run.end->sideways = -run.end->sideways;
  } else if (luck < 0.03 && run.half) {
    const double bump = 180.0 * chance.normal();  // mm/m
    run.half->sideways += Length::from_mm(bump * 0.49);
    run.end->sideways += Length::from_mm(bump * 1.96);
  }
}

TEST(Truing, RobotThatBendsHardRightAt15AndMuchStraighterAtMinus5_IsAdvisedNear2) {
  // Common practice, no source: such a robot was nearly straight at 2. Hard right: it left a strip
  // of 40 cm after 80 cm; much straighter at -5: some 20 cm to the left after a metre and a bit.
  const Drives runs{one_line(15, -400, 2, 800), two_lines(-5, 63, 250, 3)};
  const Truing truing = *true_robot(knot(), runs);
  EXPECT_NEAR(truing.best_trim.value, 2, 3);
  EXPECT_TRUE(truing.doubtful_runs.empty());
}

TEST(Truing, WithoutRuns_AdvisesTheFirstAndSaysNothingWasMeasured) {
  const Truing truing = *true_robot(knot(), {});
  EXPECT_EQ(truing.verdict, Verdict::kMoreRuns);
  ASSERT_TRUE(truing.next_run);
  EXPECT_EQ(truing.next_run->kind, RunKind::kStraight);
  EXPECT_EQ(truing.next_run->trim.value, 0);
  EXPECT_NE(truing.reason.find("no straight run"), std::string::npos);
  EXPECT_EQ(truing.settings.assumed.size(), static_cast<std::size_t>(kConstantCount));
}

TEST(Truing, AfterOneRun_AsksForAnotherTrim) {
  const Truing truing = *true_robot(knot(), Drives{two_lines(0, 15, 60, 2)});
  EXPECT_EQ(truing.verdict, Verdict::kMoreRuns);
  ASSERT_TRUE(truing.next_run);
  EXPECT_NE(truing.next_run->trim.value, 0);
}

TEST(Truing, RunsAtOneTrimOnly_SayThatTheTrimsEffectIsAssumed) {
  const Drives runs{two_lines(4, 30, 120, 2), two_lines(4, 32, 118, 3), two_lines(4, 29, 121, 4)};
  const Truing truing = *true_robot(knot(), runs);
  EXPECT_NE(truing.reason.find("all straight runs were at trim 4"), std::string::npos);
  const auto& assumed = truing.settings.assumed;
  EXPECT_NE(std::find(assumed.begin(), assumed.end(), Constant::kTrimEffect), assumed.end());
}

TEST(Truing, ManyGoodRuns_GiveBackThePlantedTrim) {
  const Planted planted{.mismatch = 0.03, .trim_effect = -0.004};  // straight at 7.5
  Bench bench(planted, 11);
  Drives runs;
  for (int i = 0; i < 12; ++i) runs.push_back(bench.straight(Trim{-4 + 2 * i}, 2 + i));
  const Truing truing = *true_robot(knot(), runs);
  EXPECT_EQ(truing.verdict, Verdict::kInTolerance) << truing.reason;
  EXPECT_TRUE(truing.best_trim.value == 7 || truing.best_trim.value == 8) << truing.best_trim.value;
  EXPECT_NEAR(truing.settings.of(Constant::kTrimEffect), -0.004, 0.0004);
  EXPECT_NEAR(truing.settings.of(Constant::kMismatchForward), 0.03, 0.004);
}

TEST(Truing, AimErrors_BelongToTheRunNotToTheRobot) {
  // Both runs left 2 degrees askew to either side; the bends are alike.
  const double k = curvature_of_drift(30.0).per_mm();
  const auto run = [&](double aim, int row) {
    return two_lines(0, sideways_at_mm(700, k, aim), sideways_at_mm(1400, k, aim), row);
  };
  const Truing truing = *true_robot(knot(), Drives{run(0.035, 2), run(-0.035, 3)});
  ASSERT_EQ(truing.run_drifts.size(), 2U);
  // 2 mm/m: the pull of the aim's own prior on exact readings.
  EXPECT_NEAR(truing.run_drifts[0].drift_mm_per_m.mean, 30.0, 2.0);
  EXPECT_NEAR(truing.run_drifts[1].drift_mm_per_m.mean, 30.0, 2.0);
  EXPECT_NEAR(truing.run_drifts[0].aim_deg, 2.0, 0.1);
}

TEST(Truing, ReadingNotedToTheWrongSide_IsNamedAndDoesNotMoveTheAnswer) {
  Bench bench({.mismatch = 0.012, .trim_effect = 0.003}, 5);
  Drives runs;
  int row = 2;
  for (const int trim : {0, -12, -4, -4, -8}) runs.push_back(bench.straight(Trim{trim}, row++));
  const Truing clean = *true_robot(knot(), runs);
  runs[1].half->sideways = -runs[1].half->sideways;
  runs[1].end->sideways = -runs[1].end->sideways;
  const Truing slipped = *true_robot(knot(), runs);
  ASSERT_EQ(slipped.doubtful_runs.size(), 1U);
  EXPECT_EQ(slipped.doubtful_runs[0].row, 3);
  EXPECT_NE(slipped.doubtful_runs[0].because.find("it fits if both its marks were"),
            std::string::npos)
      << slipped.doubtful_runs[0].because;
  EXPECT_LE(std::abs(slipped.best_trim.value - clean.best_trim.value), 1);
}

TEST(Truing, OneOfTwoMarksNotedToTheWrongSide_IsNamedWithWhatFits) {
  Bench bench({.mismatch = 0.012, .trim_effect = 0.003, .scatter_drift = 2.0}, 5);
  for (const bool half : {true, false}) {
    Drives runs;
    int row = 2;
    for (const int trim : {0, -12, -4}) runs.push_back(bench.straight(Trim{trim}, row++));
    auto& reading = half ? runs[1].half : runs[1].end;
    const std::string right_side = reading->sideways.mm() > 0.0 ? "to the left" : "to the right";
    reading->sideways = -reading->sideways;
    const Truing truing = *true_robot(knot(), runs);
    ASSERT_EQ(truing.doubtful_runs.size(), 1U) << half;
    EXPECT_EQ(truing.doubtful_runs[0].row, 3);
    const std::string& because = truing.doubtful_runs[0].because;
    EXPECT_NE(because.find(half ? " at 700 mm where" : " at 1400 mm where"), std::string::npos)
        << because;
    ASSERT_NE(because.find("it fits if it was"), std::string::npos) << because;
    EXPECT_EQ(because.substr(because.size() - right_side.size()), right_side) << because;
  }
}

TEST(Truing, RunAtTheTrimBefore_IsNamedAsSuch) {
  Bench bench({.mismatch = 0.0, .trim_effect = 0.003, .scatter_drift = 1.5}, 6);
  Drives runs;
  int row = 2;
  for (const int trim : {0, -10, -5, -5, 0, 0}) runs.push_back(bench.straight(Trim{trim}, row++));
  runs[4].trim = Trim{12};  // the screw was not turned; the lead noted what was asked for
  const Drives noted{runs[0], runs[1], runs[2], runs[5], runs[4]};
  const Truing truing = *true_robot(knot(), noted);
  ASSERT_EQ(truing.doubtful_runs.size(), 1U);
  EXPECT_NE(truing.doubtful_runs[0].because.find("it fits if the trim was still 0"),
            std::string::npos)
      << truing.doubtful_runs[0].because;
}

TEST(Truing, RunsOnAnotherFloor_TellOfTheTrimButNotOfThisFloorsBend) {
  // The old floor bends it 40 mm/m further left; what a count does is the same on both.
  Bench here({.mismatch = 0.010, .trim_effect = 0.003, .scatter_drift = 1.5}, 7);
  Bench there({.mismatch = 0.0212, .trim_effect = 0.003, .scatter_drift = 1.5}, 8);
  Drives runs;
  int row = 2;
  for (const int trim : {0, -10, -7}) {
    runs.push_back(there.straight(Trim{trim}, row++));
    runs.back().surface = "carpet";
  }
  for (const int trim : {-7, -3}) runs.push_back(here.straight(Trim{trim}, row++));
  const Truing truing = *true_robot(knot(), runs);
  EXPECT_TRUE(truing.best_trim.value == -3 || truing.best_trim.value == -4)
      << truing.best_trim.value;
  EXPECT_TRUE(truing.doubtful_runs.empty());
}

TEST(Truing, RunsThatContradictEachOther_AreNamedOrWidenTheScatter) {
  const Drives runs{two_lines(0, 30, 120, 2), two_lines(0, -30, -120, 3), two_lines(0, 29, 118, 4),
                    two_lines(0, 31, 121, 5)};
  const Truing truing = *true_robot(knot(), runs);
  ASSERT_EQ(truing.doubtful_runs.size(), 1U);
  EXPECT_EQ(truing.doubtful_runs[0].row, 3);
}

TEST(Truing, RangeTooSmall_IsSaidWithARemedy) {
  Bench bench({.mismatch = 0.12, .trim_effect = -0.0015}, 3);
  Drives runs;
  int row = 2;
  for (const int trim : {0, 12, 30, 30}) runs.push_back(bench.straight(Trim{trim}, row++));
  const Truing truing = *true_robot(knot(), runs);
  EXPECT_EQ(truing.verdict, Verdict::kCannotReach);
  EXPECT_NE(truing.reason.find("trim range -30 to 30 is too small"), std::string::npos);
  EXPECT_FALSE(truing.next_run);
}

TEST(Truing, StepTooCoarse_IsSaidWithTheBestThatCanBeReached) {
  // A count moves it by 57 mm/m and 0 drift lies half-way between two counts.
  Bench bench({.mismatch = 0.008, .trim_effect = 0.016, .scatter_drift = 1.5}, 4);
  Drives runs;
  int row = 2;
  for (const int trim : {0, -2, 0, -1, -1}) runs.push_back(bench.straight(Trim{trim}, row++));
  const Truing truing = *true_robot(knot(), runs);
  EXPECT_EQ(truing.verdict, Verdict::kCannotReach) << truing.reason;
  EXPECT_NE(truing.reason.find("too coarse"), std::string::npos);
  EXPECT_NE(truing.reason.find("wheel by"), std::string::npos) << truing.reason;  // the remedy
}

TEST(Truing, ScatterTooLarge_IsSaidWithItsUsualCauseAndATiredBatteryIsNamed) {
  Bench bench({.mismatch = 0.0, .trim_effect = 0.003, .scatter_drift = 25.0}, 9);
  Drives runs;
  for (int row = 2; row < 10; ++row) {
    runs.push_back(bench.straight(Trim{row % 3 - 1}, row));
    runs.back().battery_v = 4.9 - 0.1 * row;
  }
  const Truing truing = *true_robot(knot(), runs);
  EXPECT_EQ(truing.verdict, Verdict::kCannotReach) << truing.reason;
  EXPECT_NE(truing.reason.find("slipping tyre"), std::string::npos) << truing.reason;
  EXPECT_NE(truing.reason.find("charge it first"), std::string::npos) << truing.reason;
}

TEST(Truing, OnceStraight_AsksForADistanceThenForTurnsThenForNothing) {
  Bench bench({.mismatch = 0.0, .trim_effect = 0.003, .scatter_drift = 2.0}, 8);
  Drives runs;
  int row = 2;
  for (const int trim : {0, -10, 0, 1}) runs.push_back(bench.straight(Trim{trim}, row++));
  std::string order;
  for (int i = 0; i < 16; ++i) {
    const Truing truing = *true_robot(knot(), runs);
    ASSERT_EQ(truing.verdict, Verdict::kInTolerance) << truing.reason;
    if (!truing.next_run) break;
    const NextRun& next = *truing.next_run;
    Drive run;
    run.kind = next.kind;
    run.level = next.level;
    run.trim = next.trim;
    run.time = next.time;
    run.row = row++;
    if (next.kind == RunKind::kStraight) {
      order += 'd';
      run.distance = Length::from_mm(180.0 * (next.time.s() - 0.1));
    } else {
      order += next.to_the_left ? 'l' : 'r';
      const double rad = 2.4 * (next.time.s() - 0.12);
      run.turned = Angle::from_rad(next.to_the_left ? rad : -rad);
    }
    runs.push_back(run);
  }
  EXPECT_FALSE(true_robot(knot(), runs)->next_run) << order;
  EXPECT_EQ(order.find_first_not_of('d'), order.find_first_of("lr")) << order;
  EXPECT_NE(order.find('l'), std::string::npos);
  EXPECT_NE(order.find('r'), std::string::npos);
  EXPECT_LE(order.size(), 9U) << order;
}

TEST(Truing, IntervalOfTheDrift_HoldsTheTruthAsOftenAsItSays) {
  constexpr int kRobots = 400;
  int held = 0;
  double half_widths = 0.0, errors = 0.0;
  for (int i = 0; i < kRobots; ++i) {
    Bench draw({}, 1000 + static_cast<std::uint64_t>(i));
    // From the priors themselves, so the stated 95 % is what must come out.
    Planted planted;
    planted.mismatch = 0.08 * draw.normal();
    planted.trim_effect =
        (0.11 + 0.05 * draw.normal()) / 30.0 * (draw.uniform() < 0.5 ? -1.0 : 1.0);
    planted.scatter_drift = 2.7 * std::exp(0.55 * draw.normal());
    planted.aim_sd_rad = 0.026;
    Bench bench(planted, 5000 + static_cast<std::uint64_t>(i));
    Drives runs;
    int row = 2;
    for (const int trim : {0, -8, 8, 3}) {
      runs.push_back(bench.straight(Trim{trim}, row++));
      spoil(runs.back(), draw);
    }
    const Truing truing = *true_robot(knot(), runs);
    const double truth = bench.true_drift(truing.best_trim);
    held += truth >= truing.drift_mm_per_m.low && truth <= truing.drift_mm_per_m.high;
    half_widths += (truing.drift_mm_per_m.high - truing.drift_mm_per_m.low) / 2.0;
    errors += std::abs(truth - truing.drift_mm_per_m.mean);
  }
  // 95 % less 3 binomial sd of 400.
  EXPECT_GE(held, kRobots * 917 / 1000);
  // And not by being wide: 1.96 sd is 2.46 mean sizes of a normal error; half again covers the
  // allowance for a model error on hard bends, which these planted robots don't have.
  EXPECT_LE(half_widths / errors, 1.5 * 2.46);
}

TEST(Truing, ByItsOwnAdvice_GetsAWellBehavedRobotTrueInFourStraightsOrFewer) {
  int runs_in_all = 0;
  constexpr int kRobots = 20;
  for (int i = 0; i < kRobots; ++i) {
    Bench draw({}, 300 + static_cast<std::uint64_t>(i));
    const double sign = draw.uniform() < 0.5 ? -1.0 : 1.0;
    // Well-behaved: runs scatter by 2 mm/m and a count of trim moves it by 9, so the best whole
    // trim is within 5.
    Bench bench(
        {.mismatch = 0.03 * draw.normal(), .trim_effect = 0.0025 * sign, .scatter_drift = 2.0},
        700 + static_cast<std::uint64_t>(i));
    Drives runs;
    Truing truing = *true_robot(knot(), runs);
    while (truing.verdict == Verdict::kMoreRuns && runs.size() < 10) {
      runs.push_back(bench.straight(truing.next_run->trim, 2 + static_cast<int>(runs.size())));
      truing = *true_robot(knot(), runs);
    }
    EXPECT_EQ(truing.verdict, Verdict::kInTolerance) << i << ": " << truing.reason;
    EXPECT_LE(std::abs(bench.true_drift(truing.best_trim)), 12.0) << i;
    runs_in_all += static_cast<int>(runs.size());
  }
  EXPECT_LE(runs_in_all, 4 * kRobots);
}

TEST(Truing, RunsLeftOut_AreAsIfTheyWereNotThere) {
  Drives runs{two_lines(0, 15, 60, 2), two_lines(-10, -40, -160, 3)};
  const Truing with_two = *true_robot(knot(), runs);
  runs.push_back(two_lines(5, -90, -350, 4));
  runs.back().left_out = true;
  const Truing with_third_out = *true_robot(knot(), runs);
  EXPECT_EQ(with_third_out.best_trim, with_two.best_trim);
  EXPECT_EQ(with_third_out.drift_mm_per_m.mean, with_two.drift_mm_per_m.mean);
}

TEST(Truing, OptionsOutsideTheirRanges_AreRefusedWithWhatWasExpected) {
  for (const TruingOptions& wrong :
       {TruingOptions{.tolerance_mm_per_m = 0.0}, TruingOptions{.tolerance_mm_per_m = std::nan("")},
        TruingOptions{.confidence = 1.0}, TruingOptions{.longest_line = Length::from_mm(10)}}) {
    const auto answer = true_robot(knot(), {}, wrong);
    ASSERT_FALSE(answer);
    EXPECT_NE(answer.error().message.find("expected"), std::string::npos);
  }
}

TEST(Truing, Words_SayWhatIsSoAndWhatToDoNext) {
  const Truing truing = *true_robot(knot(), Drives{two_lines(0, 17, 66, 2)});
  const std::string sentence = sentence_of(knot(), truing);
  EXPECT_EQ(sentence.find("Knot bent 3"), 0U) << sentence;
  EXPECT_NE(sentence.find("to the left in a metre at trim 0. Set the trim to"), std::string::npos)
      << sentence;
  EXPECT_EQ(sideways_words(-32.4), "32 mm to the right");
  EXPECT_EQ(sideways_words(0.3), "straight");
}

}  // namespace
}  // namespace runtrue
