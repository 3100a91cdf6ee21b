// Counted chance: draw j of sample i is a fixed function of (seed, i, j), so no sample hangs on
// another or on the thread that works on it.
//
// The bits are the SplitMix64 sequence [Ste14] entered at place i·2^32 + j, so two samples share
// draws only after 2^32 of one. Normals are made of two draws each pair [Box58], with a logarithm
// good to 2e-14 and sine and cosine good to an ulp (internal/wide.h); the largest is 8.5.
#pragma once

#include <cstdint>

#include "forecast/internal/sweep.h"

namespace runtrue::internal {

inline constexpr std::uint64_t kChanceStep = 0x9E3779B97F4A7C15u;  // [Ste14]: 2^64 / golden ratio

[[gnu::always_inline]] inline std::uint64_t mixed(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
  return z ^ (z >> 31);
}

// Where sample i of a seed enters the sequence; its draw j is mixed(entry + (j + 1)·kChanceStep).
[[nodiscard]] inline std::uint64_t chance_entry(std::uint64_t seed, std::int64_t sample) {
  return mixed(seed) + (static_cast<std::uint64_t>(sample) << 32) * kChanceStep;
}

// The chance of kLanes samples that follow one another.
class Chance {
 public:
  Chance(std::uint64_t seed, std::int64_t first_sample)
      : state_(chance_entry(seed, first_sample)) {}

  // Two draws of the standard normal distribution for every sample.
  void draw(Lane& one, Lane& other);

 private:
  std::uint64_t state_;  // of the first sample; the others' differ by a fixed amount
};

}  // namespace runtrue::internal
