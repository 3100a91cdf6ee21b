#include "truing/check_chart.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "units/result.h"

namespace runtrue {

IndividualsChart individuals_chart(std::span<const double> values) {
  RUNTRUE_CHECK(values.size() >= 2);
  const double d2 = 2.0 * std::numbers::inv_sqrtpi;  // mean range of two standard normals
  const double range_sd = std::sqrt(2.0 - d2 * d2);  // its standard deviation
  IndividualsChart chart;
  for (const double v : values) chart.centre += v;
  chart.centre /= static_cast<double>(values.size());
  for (std::size_t i = 1; i < values.size(); ++i)
    chart.mean_moving_range += std::abs(values[i] - values[i - 1]);
  chart.mean_moving_range /= static_cast<double>(values.size() - 1);
  chart.low = chart.centre - 3.0 * chart.mean_moving_range / d2;
  chart.high = chart.centre + 3.0 * chart.mean_moving_range / d2;
  chart.range_high = chart.mean_moving_range * (1.0 + 3.0 * range_sd / d2);
  return chart;
}

AverageChart average_chart(std::span<const double> values, double target, double sd, double lambda,
                           double width) {
  RUNTRUE_CHECK(lambda > 0.0 && lambda <= 1.0 && sd > 0.0);
  AverageChart chart;
  const double reach = width * sd * std::sqrt(lambda / (2.0 - lambda));
  chart.low = target - reach;
  chart.high = target + reach;
  double smoothed = target;
  for (const double v : values) {
    smoothed = lambda * v + (1.0 - lambda) * smoothed;
    chart.smoothed.push_back(smoothed);
    if (!chart.first_signal && (smoothed < chart.low || smoothed > chart.high))
      chart.first_signal = chart.smoothed.size() - 1;
  }
  return chart;
}

SumChart sum_chart(std::span<const double> values, double target, double slack, double limit) {
  SumChart chart;
  double high = 0.0, low = 0.0;
  std::size_t high_since = 0, low_since = 0;
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (high <= 0.0) high_since = i;
    if (low <= 0.0) low_since = i;
    high = std::max(0.0, high + values[i] - target - slack);
    low = std::max(0.0, low + target - values[i] - slack);
    chart.high.push_back(high);
    chart.low.push_back(low);
    if (!chart.first_signal && (high > limit || low > limit)) {
      chart.first_signal = i;
      chart.since = high > limit ? high_since : low_since;
    }
  }
  return chart;
}

}  // namespace runtrue
