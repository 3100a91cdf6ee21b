// Walks samples of the robot through the whole list and notes what happens to each.
#pragma once

#include <cstdint>
#include <vector>

#include "forecast/forecast.h"
#include "forecast/internal/sampler.h"
#include "forecast/internal/scene.h"
#include "forecast/internal/sweep.h"

namespace runtrue::internal {

inline constexpr int kBatch = kLanes;        // samples walked together
inline constexpr int kMostKeptEnds = 20000;  // ends kept for the outline around them

// What first went wrong with a sample; nothing is noted of it afterwards but its end.
struct MishapAt {
  int sample = 0;
  int move = 0;
  Mishap kind = Mishap::kNone;
  double fraction = 0.0;  // of the move
  Vec place;              // of the robot's origin then
};

// How often each clearance came up, per move; counts add up whatever the order. Steps are even in
// the root of the clearance: 0.2 mm wide at 1 mm, 2 mm at 100 mm; beyond 10 m all is one.
class ClearanceCounts {
 public:
  explicit ClearanceCounts(std::size_t moves) : counts_(moves * kSteps) {}
  // Of every sample whose `counts` is 1.
  void add(std::size_t move, const FloatLane& counts, const FloatLane& clearance_mm);
  void add(const ClearanceCounts& other);
  [[nodiscard]] std::uint64_t total(std::size_t move) const;
  // 0 where no sample was counted.
  [[nodiscard]] Length quantile(std::size_t move, double part) const;

 private:
  static constexpr std::size_t kSteps = 1001;
  static constexpr float kStepsPerRoot = 10.0F;
  std::vector<std::uint32_t> counts_;
};

// One sample as it is drawn: where it was put and what it did.
struct KeptSample {
  Pose start;
  std::vector<Arc> arcs;
};

// Sums over ends, as if nothing stopped them, of the offsets from the nominal end and of their
// products.
struct EndSums {
  std::array<double, 3> first{};
  std::array<double, 9> second{};
};

struct BatchResult {
  std::vector<MishapAt> mishaps;
  EndSums sums;
  std::vector<Vec> ends;
  std::vector<KeptSample> kept;
};

struct Walk {
  const Sampler& sampler;
  const Scene& scene;
  Pose start;
  Pose nominal_end;
  ForecastOptions options;
};

// Samples first..first+count-1 (count <= kBatch). Sample i depends on the walk and on (seed, i)
// only. `limits`: by move, a clearance from which on all are counted as that, which saves looking;
// empty for none.
[[nodiscard]] BatchResult walk_batch(const Walk& walk, int first, int count,
                                     const std::vector<float>& limits, ClearanceCounts& clearance);

}  // namespace runtrue::internal
