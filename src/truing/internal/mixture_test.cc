#include "truing/internal/mixture.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

namespace runtrue::internal {
namespace {

TEST(NormalMixture, QuantilesOfOneNormal_AreTheTabledOnes) {
  // Standard normal quantiles as in the tables of the NIST/SEMATECH e-Handbook of Statistical
  // Methods, 1.3.6.7.1, to more digits [NistHb1].
  const NormalMixture normal({{1.0, 0.0, 1.0}});
  const std::pair<double, double> table[] = {{0.90, 1.2815515655},
                                             {0.95, 1.6448536270},
                                             {0.975, 1.9599639845},
                                             {0.99, 2.3263478740},
                                             {0.995, 2.5758293035}};
  for (const auto& [p, z] : table) {
    EXPECT_NEAR(normal.quantile(p), z, 5e-8)
        << p;  // the table has ten decimals, the bisection stops at 1e-9
    EXPECT_NEAR(normal.quantile(1.0 - p), -z, 5e-8) << p;
    EXPECT_NEAR(normal.below(z), p, 1e-10) << p;
  }
}

// Student's t is a normal of uncertain scatter: variance n/χ²_n. Here χ² is cut into many equally
// spaced steps of its logarithm.
NormalMixture student_t(double n) {
  std::vector<NormalMixture::Part> parts;
  double total = 0.0;
  constexpr int kSteps = 2000;
  for (int i = 0; i <= kSteps; ++i) {
    const double log_chi = -24.0 + 32.0 * i / kSteps;
    const double chi = std::exp(log_chi);
    const double weight = std::exp(0.5 * n * log_chi - 0.5 * chi);
    if (weight < 1e-300) continue;
    parts.push_back({weight, 0.0, std::sqrt(n / chi)});
    total += weight;
  }
  for (auto& part : parts) part.weight /= total;
  return NormalMixture(std::move(parts));
}

TEST(NormalMixture, OfUncertainScatter_HasTheTabledQuantilesOfStudentsT) {
  // Critical values of Student's t, NIST/SEMATECH e-Handbook 1.3.6.7.2 [NistHb1], to more digits.
  const std::pair<double, double> upper_975[] = {
      {2, 4.302653},  {3, 3.182446},  {4, 2.776445},  {5, 2.570582},  {9, 2.262157},
      {10, 2.228139}, {20, 2.085963}, {30, 2.042272}, {60, 2.000298}, {120, 1.979930}};
  for (const auto& [n, t] : upper_975)
    EXPECT_NEAR(student_t(n).quantile(0.975), t, 2e-6 * t) << n;  // printed to six decimals
  EXPECT_NEAR(student_t(4).quantile(0.995), 4.604095, 1e-5);
  EXPECT_NEAR(student_t(9).quantile(0.995), 3.249836, 1e-5);
}

TEST(NormalMixture, MeanSize_IsTheFoldedNormals) {
  // Centred: sd·sqrt(2/π). Far from zero: the mean itself.
  EXPECT_NEAR(NormalMixture({{1.0, 0.0, 2.0}}).mean_size(), 2.0 * std::sqrt(2.0 / std::numbers::pi),
              1e-14);
  EXPECT_NEAR(NormalMixture({{1.0, -30.0, 1.0}}).mean_size(), 30.0, 1e-12);
}

TEST(NormalMixture, OfTwoReadings_KeepsBothAndTheirSpread) {
  const NormalMixture two({{0.5, -3.0, 0.1}, {0.5, 3.0, 0.1}});
  EXPECT_DOUBLE_EQ(two.mean(), 0.0);
  EXPECT_NEAR(two.sd(), std::sqrt(9.0 + 0.01), 1e-12);
  EXPECT_NEAR(two.within(1.0), 0.0, 1e-12);
  EXPECT_NEAR(two.quantile(0.25), -3.0, 1e-6);
}

}  // namespace
}  // namespace runtrue::internal
