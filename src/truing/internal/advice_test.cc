#include "truing/internal/advice.h"

#include <gtest/gtest.h>

#include <cmath>

#include "drive/pose.h"

namespace runtrue::internal {
namespace {

Robot knot() { return default_robot("Knot", Length::from_mm(140)); }

StraightObservation seen_at(int trim, double mismatch, double sd) {
  StraightObservation o;
  o.level = Level{128};
  o.trim = Trim{trim};
  o.design = design_of(knot(), o.level, o.trim);
  o.as[0] = {true, mismatch, sd * sd, 0.0};
  o.scatter_factor = 140.0;
  o.two_lines = true;
  return o;
}

TEST(BestTrim, WithoutRuns_IsTheOneNearestToZero) {
  EXPECT_EQ(best_trim_of(StraightPosterior(knot(), {}, {}), knot()).value, 0);
  Robot shifted = knot();
  shifted.trim_range = {Trim{3}, Trim{20}};
  EXPECT_EQ(best_trim_of(StraightPosterior(shifted, {}, {}), shifted).value, 3);
}

TEST(Reach, BeforeAnyRun_IsOpen) {
  const Reach reach =
      reach_of(StraightPosterior(knot(), {}, {}), knot(), curvature_of_drift(10.0).per_mm());
  EXPECT_GT(reach.in_tolerance, 0.3);
  EXPECT_LT(reach.in_tolerance, 1.0);
}

TEST(Reach, OfAKnownRobot_AgreesWithCountingItsTrims) {
  // Known to a hair: m = 0.0305 + 0.004·t, so trim -8 leaves -0.0015 and -7 leaves 0.0025; 10 mm/m
  // is 0.0028 of mismatch at this track width.
  const std::vector<StraightObservation> seen{seen_at(0, 0.0305, 1e-6), seen_at(10, 0.0705, 1e-6),
                                              seen_at(-10, -0.0095, 1e-6)};
  StraightPrior sure;
  sure.scatter_drift_mm_per_m = 0.01;
  const Reach reach =
      reach_of(StraightPosterior(knot(), seen, sure), knot(), curvature_of_drift(10.0).per_mm());
  EXPECT_NEAR(reach.in_tolerance, 1.0, 0.01);
  EXPECT_NEAR(reach.range_too_small, 0.0, 0.01);
}

TEST(NextStraight, FitsTheFloorThereIs) {
  TruingOptions options;
  options.longest_line = Length::from_mm(930);
  const NextRun next =
      next_straight(knot(), StraightPosterior(knot(), {}, {}), {}, options, StraightPrior());
  EXPECT_EQ(next.line.mm(), 900.0);  // a round number to lay a tape to
  EXPECT_EQ(next.half_line.mm(), 450.0);
}

TEST(NextStraight, WhileTheTrimsEffectIsAGuess_TakesAStepThatWouldDoOneWayRound) {
  // 0.06 of mismatch is some 16 counts of a usual effect; which way is open.
  const std::vector<StraightObservation> seen{seen_at(0, 0.06, 0.002)};
  const NextRun next =
      next_straight(knot(), StraightPosterior(knot(), seen, {}), seen, {}, StraightPrior());
  EXPECT_GE(std::abs(next.trim.value), 8);
  EXPECT_LE(std::abs(next.trim.value), 24);
}

TEST(NextStraight, OnceTheEffectIsKnown_RunsNearTheBestTrim) {
  const std::vector<StraightObservation> seen{seen_at(0, 0.04, 0.001), seen_at(-12, -0.02, 0.001)};
  const StraightPosterior posterior(knot(), seen, {});
  const NextRun next = next_straight(knot(), posterior, seen, {}, StraightPrior());
  EXPECT_NEAR(next.trim.value, best_trim_of(posterior, knot()).value, 4);
}

}  // namespace
}  // namespace runtrue::internal
