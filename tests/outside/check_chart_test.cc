// Control charts against published worked examples.
//
// Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals), 6.3.2.4 (moving
// average), 6.3.2.3 (cumulative sum) [NistPm1], a work of the US Government; D. Montgomery,
// Introduction to Statistical Quality Control, table 9.1 [Mont09], numbers second-hand.
#include "truing/check_chart.h"

#include <gtest/gtest.h>

#include <vector>

namespace runtrue {
namespace {

const std::vector<double> kFlowrate{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};

TEST(IndividualsChart, OnTheHandbooksFlowrates_HasItsLimits) {
  const IndividualsChart chart = individuals_chart(kFlowrate);
  EXPECT_NEAR(chart.centre, 50.81, 1e-9);
  EXPECT_NEAR(chart.mean_moving_range, 1.8778, 5e-5);
  // The handbook divides by 1.128 where we take 2/sqrt(pi) = 1.12838: 0.002 of the limits.
  EXPECT_NEAR(chart.high, 55.8041, 0.002);
  EXPECT_NEAR(chart.low, 45.8159, 0.002);
  EXPECT_NEAR(chart.high, 55.802412, 5e-7);
  EXPECT_NEAR(chart.low, 45.817588, 5e-7);
  EXPECT_NEAR(chart.range_high / chart.mean_moving_range, 3.266532, 5e-7);  // D4 of two
}

TEST(AverageChart, OnTheHandbooksTwentyValues_HasItsColumnAndLimits) {
  std::vector<double> values{52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5};
  values.insert(values.end(), kFlowrate.begin(), kFlowrate.end());
  const AverageChart chart = average_chart(values, 50.0, 2.0539, 0.3, 3.0);
  const std::vector<double> published{50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75,
                                      49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05,
                                      49.38, 49.92, 50.73, 51.23, 51.94, 51.99};
  ASSERT_EQ(chart.smoothed.size(), published.size());
  for (std::size_t i = 0; i < published.size(); ++i)
    EXPECT_NEAR(chart.smoothed[i], published[i], 0.0051) << i;  // printed to two decimals
  EXPECT_NEAR(chart.high, 52.5884, 5e-5);
  EXPECT_NEAR(chart.low, 47.4115, 1.1e-4);
  EXPECT_FALSE(chart.first_signal);
}

TEST(SumChart, OnTheHandbooksTwentyValues_SignalsAtTheFourteenth) {
  const std::vector<double> values{324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125,
                                   324.525, 325.225, 324.600, 324.625, 325.150, 328.325, 327.250,
                                   327.825, 328.500, 326.675, 327.775, 326.875, 328.350};
  const SumChart chart = sum_chart(values, 325.0, 0.3175, 4.1959);
  const std::vector<double> high{3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035};
  for (std::size_t i = 0; i < high.size(); ++i) EXPECT_NEAR(chart.high[12 + i], high[i], 1e-9);
  const std::vector<double> low{0, .01, 0, .33, 0, 0, .56, .72, .17, .25, .31};
  for (std::size_t i = 0; i < low.size(); ++i)
    EXPECT_NEAR(chart.low[i], low[i], 0.0051) << i;  // printed to two decimals
  ASSERT_TRUE(chart.first_signal);
  EXPECT_EQ(*chart.first_signal, 13U);
  EXPECT_EQ(chart.since, 12U);
}

const std::vector<double> kMontgomery{9.45,  7.99,  9.29,  11.66, 12.16, 10.18, 8.04,  11.46,
                                      9.20,  10.34, 9.03,  11.47, 10.51, 9.40,  10.08, 9.37,
                                      10.62, 10.31, 8.52,  10.84, 10.90, 9.33,  12.29, 11.50,
                                      10.60, 11.08, 10.38, 11.62, 11.31, 10.52};

TEST(SumChart, OnTheTextbooksThirtyValues_SignalsAtThe29th) {
  const SumChart chart = sum_chart(kMontgomery, 10.0, 0.5, 5.0);
  ASSERT_TRUE(chart.first_signal);
  EXPECT_EQ(*chart.first_signal, 28U);
  EXPECT_NEAR(chart.high[28], 5.28, 0.0051);
  EXPECT_NEAR(chart.high[29], 5.30, 0.0051);
}

TEST(AverageChart, OnTheTextbooksThirtyValues_SignalsAtThe29th) {
  const AverageChart chart = average_chart(kMontgomery, 10.0, 1.0, 0.1, 2.7);
  EXPECT_NEAR(chart.smoothed[0], 9.945, 5e-4);
  EXPECT_NEAR(chart.smoothed[1], 9.7495, 5e-5);
  EXPECT_NEAR(chart.smoothed[28], 10.6468, 5e-5);
  EXPECT_NEAR(chart.high, 10.619422, 5e-7);
  ASSERT_TRUE(chart.first_signal);
  EXPECT_EQ(*chart.first_signal, 28U);
}

}  // namespace
}  // namespace runtrue
