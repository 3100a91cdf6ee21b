// Control charts over a robot's check runs: individuals with moving range, exponentially weighted
// moving average, cumulative sum. Plain textbook charts; what they mean for a robot is said by
// still_true.h.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace runtrue {

// Limits for single values from their own moving ranges [NistPm1 6.3.2.2]:
//   centre ± 3·MR/d2 and D4·MR, with d2 = 2/√π and D4 = 1 + 3·sqrt(1 − d2²/2)/(d2/√2) for ranges of
// two. Two values or more.
struct IndividualsChart {
  double centre = 0.0;
  double mean_moving_range = 0.0;
  double low = 0.0, high = 0.0;
  double range_high = 0.0;
};
[[nodiscard]] IndividualsChart individuals_chart(std::span<const double> values);

// z_i = λ·x_i + (1 − λ)·z_(i−1) from z_0 = target; limits target ± width·sd·sqrt(λ/(2 − λ)) once it
// has settled [NistPm1 6.3.2.4]. 0 < λ <= 1, sd > 0.
struct AverageChart {
  std::vector<double> smoothed;
  double low = 0.0, high = 0.0;
  std::optional<std::size_t> first_signal;
};
[[nodiscard]] AverageChart average_chart(std::span<const double> values, double target, double sd,
                                         double lambda, double width);

// high_i = max(0, high_(i−1) + x_i − target − slack), low_i likewise downward; a signal where one
// passes `limit` [NistPm1 6.3.2.3]. `since` is the first value of the run-up to the first signal:
// the likely time of the change.
struct SumChart {
  std::vector<double> high, low;
  std::optional<std::size_t> first_signal;
  std::size_t since = 0;
};
[[nodiscard]] SumChart sum_chart(std::span<const double> values, double target, double slack,
                                 double limit);

}  // namespace runtrue
