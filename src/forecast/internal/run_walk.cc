#include "forecast/internal/run_walk.h"

#include <algorithm>
#include <atomic>
#include <iterator>
#include <thread>

namespace runtrue::internal {
namespace {

// Every thread counts clearances in a table of its own; a very long list gets fewer threads.
constexpr std::size_t kMostMovesOverThreads = 40'000;

void append(WalkResult& all, BatchResult&& batch) {
  const auto move_over = [](auto& from, auto& to) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
  };
  move_over(batch.mishaps, all.mishaps);
  move_over(batch.ends, all.ends);
  move_over(batch.kept, all.kept);
  for (std::size_t i = 0; i < 3; ++i) all.sums.first[i] += batch.sums.first[i];
  for (std::size_t i = 0; i < 9; ++i) all.sums.second[i] += batch.sums.second[i];
}

// A clearance for each move that is surely above the quantile asked for, from those of the first
// batch; kFar where that tells too little.
std::vector<float> limits_from(const ClearanceCounts& first, std::size_t moves) {
  constexpr std::uint64_t kEnough = 128;
  constexpr double kSurelyAbove = kClearancePart + 0.1;  // 7 deviations at 256 samples
  std::vector<float> limits(moves, kFar);
  for (std::size_t m = 0; m < moves; ++m) {
    if (first.total(m) < kEnough) continue;
    limits[m] = static_cast<float>(first.quantile(m, kSurelyAbove).mm()) + 1.0F;
  }
  return limits;
}

// All batches; those behind the first with `limits`.
WalkResult walk_all(const Walk& walk, bool with_limits) {
  const int samples = walk.options.samples;
  const int batches = (samples + kBatch - 1) / kBatch;
  const std::size_t moves = std::max<std::size_t>(walk.sampler.moves().size(), 1);
  const int threads =
      std::clamp(static_cast<int>(std::min<std::size_t>(kMostMovesOverThreads / moves, 64)), 1,
                 std::min(walk.options.threads, batches));
  std::vector<BatchResult> results(static_cast<std::size_t>(batches));
  std::vector<ClearanceCounts> counts(static_cast<std::size_t>(threads), ClearanceCounts(moves));
  results[0] = walk_batch(walk, 0, std::min(kBatch, samples), {}, counts[0]);
  const std::vector<float> limits =
      with_limits ? limits_from(counts[0], moves) : std::vector<float>(moves, kFar);
  std::atomic<int> next = 1;
  const auto work = [&](ClearanceCounts& clearance) {
    for (int b = next++; b < batches; b = next++) {
      results[static_cast<std::size_t>(b)] =
          walk_batch(walk, b * kBatch, std::min(kBatch, samples - b * kBatch), limits, clearance);
    }
  };
  {
    std::vector<std::jthread> others;
    for (std::size_t t = 1; t < counts.size(); ++t) {
      others.emplace_back([&work, &clearance = counts[t]] { work(clearance); });
    }
    work(counts[0]);
  }
  WalkResult all{{}, {}, {}, {}, std::move(counts[0]), false};
  for (std::size_t t = 1; t < counts.size(); ++t) all.clearance.add(counts[t]);
  for (BatchResult& batch : results) append(all, std::move(batch));
  for (std::size_t m = 0; m < moves; ++m) {
    const double quantile = all.clearance.quantile(m, kClearancePart).mm();
    all.limited = all.limited || quantile > static_cast<double>(limits[m]) - 1.0;
  }
  return all;
}

}  // namespace

WalkResult run_walk(const Walk& walk) {
  WalkResult all = walk_all(walk, true);
  // Where a limit was too low after all, once more without any: the answer never hangs on them.
  return all.limited ? walk_all(walk, false) : std::move(all);
}

}  // namespace runtrue::internal
