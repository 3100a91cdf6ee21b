// The whole set of samples, walked on several threads and put together in their order.
#pragma once

#include <optional>
#include <vector>

#include "forecast/internal/walk.h"

namespace runtrue::internal {

struct WalkResult {
  std::vector<MishapAt> mishaps;  // by sample
  EndSums sums;
  std::vector<Vec> ends;
  std::vector<KeptSample> kept;
  ClearanceCounts clearance;  // good up to the quantile for kClearancePart
  bool limited = false;       // and not even that far
};

inline constexpr double kClearancePart = 0.05;

// All samples of the walk's options. The same bits for any number of threads.
[[nodiscard]] WalkResult run_walk(const Walk& walk);

}  // namespace runtrue::internal
