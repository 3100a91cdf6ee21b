// Chance that is counted, and what is made of it.
#include "forecast/internal/sampler.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <cmath>

#include "forecast/internal/chance.h"
#include "forecast/internal/test_scene.h"
#include "forecast/internal/wide.h"

namespace runtrue::internal {
namespace {

TEST(Chance, SampleNoughtOfSeedNought_IsThePublishedSequence) {
  // First values of SplitMix64 from state 0 [Ste14], as published with many libraries; from memory.
  const std::uint64_t published[] = {0xE220A8397B1DCDAFu, 0x6E789E6AA1B965F4u, 0x06C45D188009454Fu};
  std::uint64_t state = chance_entry(0, 0);
  for (const std::uint64_t value : published) EXPECT_EQ(mixed(state += kChanceStep), value);
}

TEST(Chance, SamplesAndSeeds_DrawDifferently) {
  EXPECT_NE(chance_entry(1, 0), chance_entry(1, 1));
  EXPECT_NE(chance_entry(1, 0), chance_entry(2, 0));
  Lane a, b, c, d;
  Chance chance(1, 0);
  chance.draw(a, b);
  chance.draw(c, d);
  EXPECT_NE(a, c);
  EXPECT_NE(a, b);
  Chance next(1, 1);  // its first sample is the other's second
  next.draw(c, d);
  EXPECT_EQ(c[0], a[1]);
}

// Moments 0, 1, 0, 3 and the part beyond 2, 0.0455003 [NistHb1]; of n draws these are good to
// sqrt(1, 2, 15, 96 and p(1 − p) over n), four of those allowed.
TEST(Chance, DrawsAreStandardNormal) {
  constexpr int kBatches = 800;
  const double n = 2.0 * kBatches * kLanes;
  double moments[4] = {}, beyond = 0.0, together = 0.0;
  for (int batch = 0; batch < kBatches; ++batch) {
    Chance chance(3, batch * kLanes);
    Lane a, b;
    chance.draw(a, b);
    for (std::size_t i = 0; i < kLanes; ++i) {
      for (const double z : {a[i], b[i]}) {
        moments[0] += z / n;
        moments[1] += z * z / n;
        moments[2] += z * z * z / n;
        moments[3] += z * z * z * z / n;
        beyond += std::abs(z) > 2.0 ? 1.0 / n : 0.0;
      }
      together += a[i] * b[i] / (n / 2.0);
    }
  }
  EXPECT_NEAR(moments[0], 0.0, 4 * std::sqrt(1 / n));
  EXPECT_NEAR(moments[1], 1.0, 4 * std::sqrt(2 / n));
  EXPECT_NEAR(moments[2], 0.0, 4 * std::sqrt(15 / n));
  EXPECT_NEAR(moments[3], 3.0, 4 * std::sqrt(96 / n));
  EXPECT_NEAR(beyond, 0.0455003, 4 * std::sqrt(0.0455 * 0.9545 / n));
  EXPECT_NEAR(together, 0.0, 4 * std::sqrt(2 / n));
}

TEST(Wide, LogarithmSineAndCosine_AreThoseOfTheStandardLibrary) {
  for (double x = 1e-16; x < 10.0; x *= 1.0009) {
    EXPECT_NEAR(log_of(x), std::log(x), 2e-14 * std::max(1.0, std::abs(std::log(x)))) << x;
  }
  for (double a = -7.0; a < 7.0; a += 0.00137) {
    EXPECT_NEAR(sin_cos(a).sin, std::sin(a), 3e-16) << a;
    EXPECT_NEAR(sin_cos(a).cos, std::cos(a), 3e-16) << a;
  }
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
  boost::random::mt19937_64 rng(7);
  boost::random::normal_distribution<double> normal;
  for (int i = 0; i < kDraws; ++i) {
    std::array<double, kConstantCount> normals{};
    for (double& z : normals) z = normal(rng);
    const ConstantVector drawn = sampler.constants_of(normals);
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
