// The exact interval against worked values.
#include "forecast/internal/interval.h"

#include <gtest/gtest.h>

#include <cmath>

namespace runtrue::internal {
namespace {

// Printed with four to seven digits: half a unit of the last one.
struct Worked {
  int events, tries;
  double low, high, half_unit;
};

TEST(Interval, AgreesWithWorkedValues) {
  // Exact two-sided 95 % limits [Clop34] as statistics texts and packages print them; from memory.
  const Worked worked[] = {
      {0, 10, 0.0, 0.3085, 5e-5},    {1, 10, 0.0025, 0.4450, 5e-5},
      {5, 10, 0.1871, 0.8129, 5e-5}, {10, 10, 0.6915, 1.0, 5e-5},
      {4, 20, 0.0573, 0.4366, 5e-5}, {682, 925, 0.7076683, 0.7654066, 5e-8},
  };
  for (const Worked& w : worked) {
    const Probability p = probability_of(w.events, w.tries);
    EXPECT_NEAR(p.low, w.low, w.half_unit) << w.events << " of " << w.tries;
    EXPECT_NEAR(p.high, w.high, w.half_unit) << w.events << " of " << w.tries;
    EXPECT_EQ(p.mean, static_cast<double>(w.events) / w.tries);
  }
}

TEST(Interval, AtNoEvent_HasItsClosedForm) {
  // (1 − high)^n = 2.5 %; ibeta's inverse is good to some ulps.
  for (const int n : {1, 30, 10'000, 10'000'000}) {
    const Probability p = probability_of(0, n);
    EXPECT_EQ(p.low, 0.0);
    EXPECT_NEAR(std::log1p(-p.high) * n, std::log(0.025), 1e-9);
    const Probability all = probability_of(n, n);
    EXPECT_EQ(all.high, 1.0);
    EXPECT_NEAR(std::log(all.low) * n, std::log(0.025), 1e-6);
  }
}

}  // namespace
}  // namespace runtrue::internal
