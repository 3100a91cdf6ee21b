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

}  // namespace

WalkResult run_walk(const Walk& walk) {
  const int samples = walk.options.samples;
  const int batches = (samples + kBatch - 1) / kBatch;
  const std::size_t moves = std::max<std::size_t>(walk.sampler.moves().size(), 1);
  const int threads =
      std::clamp(static_cast<int>(std::min<std::size_t>(kMostMovesOverThreads / moves, 64)), 1,
                 std::min(walk.options.threads, batches));
  std::vector<BatchResult> results(static_cast<std::size_t>(batches));
  std::vector<ClearanceCounts> counts(static_cast<std::size_t>(threads), ClearanceCounts(moves));
  std::atomic<int> next = 0;
  const auto work = [&](ClearanceCounts& clearance) {
    for (int b = next++; b < batches; b = next++) {
      results[static_cast<std::size_t>(b)] =
          walk_batch(walk, b * kBatch, std::min(kBatch, samples - b * kBatch), clearance);
    }
  };
  {
    std::vector<std::jthread> others;
    for (std::size_t t = 1; t < counts.size(); ++t) {
      others.emplace_back([&work, &clearance = counts[t]] { work(clearance); });
    }
    work(counts[0]);
  }
  WalkResult all{{}, {}, {}, {}, std::move(counts[0])};
  for (std::size_t t = 1; t < counts.size(); ++t) all.clearance.add(counts[t]);
  for (BatchResult& batch : results) append(all, std::move(batch));
  return all;
}

}  // namespace runtrue::internal
