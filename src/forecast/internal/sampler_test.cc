// Chance that is counted, and what is made of it.
#include "forecast/internal/sampler.h"

#include <gtest/gtest.h>

#include <cmath>

#include "forecast/internal/test_scene.h"

namespace runtrue::internal {
namespace {

TEST(SampleChance, SampleNoughtOfSeedNought_IsThePublishedSequence) {
  // First values of SplitMix64 from state 0 [Ste14], as published with many libraries; from memory.
  SampleChance chance(0, 0);
  EXPECT_EQ(chance(), 0xE220A8397B1DCDAFu);
  EXPECT_EQ(chance(), 0x6E789E6AA1B965F4u);
  EXPECT_EQ(chance(), 0x06C45D188009454Fu);
}

TEST(SampleChance, SamplesAndSeeds_DrawDifferently) {
  EXPECT_NE(SampleChance(1, 0)(), SampleChance(1, 1)());
  EXPECT_NE(SampleChance(1, 0)(), SampleChance(2, 0)());
}

// A covariance of rank 1, between constants whose units differ by five orders.
TEST(Sampler, OfASingularCovariance_DrawsWhatItSays) {
  DriveSettings settings = sure_settings();
  const auto at = [&](Constant a, Constant b) -> double& {
    return settings
        .covariance[static_cast<std::size_t>(a) * kConstantCount + static_cast<std::size_t>(b)];
  };
  const double small = 1e-4, large = 10.0;
  at(Constant::kMismatchForward, Constant::kMismatchForward) = small * small;
  at(Constant::kDeadBand, Constant::kDeadBand) = large * large;
  at(Constant::kMismatchForward, Constant::kDeadBand) = -small * large;
  at(Constant::kDeadBand, Constant::kMismatchForward) = -small * large;
  const Sampler sampler(default_robot("Knot", Length::from_mm(140)), settings, {});
  constexpr int kDraws = 20'000;
  double squares = 0.0;
  for (int i = 0; i < kDraws; ++i) {
    SampleChance chance(7, i);
    const ConstantVector drawn = sampler.draw_constants(chance);
    const double a = drawn[static_cast<std::size_t>(Constant::kMismatchForward)] / small;
    const double b = (drawn[static_cast<std::size_t>(Constant::kDeadBand)] - 20.0) / large;
    // Wholly tied; eigenvalues that should be 0 come out as up to 1e-16, their roots as 1e-8.
    ASSERT_NEAR(a, -b, 1e-6);
    ASSERT_EQ(drawn[static_cast<std::size_t>(Constant::kLostTimeTurn)], 0.0);
    squares += b * b / kDraws;
  }
  EXPECT_NEAR(squares, 1.0, 4 * std::sqrt(2.0 / kDraws));  // a variance's own deviation, four times
}

TEST(Sampler, CutsLongTurns_SoThatEveryPartIsWellUnderHalfARound) {
  // 1.5708 rad/s: a quarter, half and two rounds.
  const Sampler sampler(default_robot("Knot", Length::from_mm(140)), sure_settings(),
                        {turn(1000, true), turn(2000, false), turn(8000, true), drive(3000)});
  EXPECT_EQ(sampler.parts(), (std::vector<int>{1, 2, 6, 1}));
}

}  // namespace
}  // namespace runtrue::internal
