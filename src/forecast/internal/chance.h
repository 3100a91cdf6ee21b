// Counted chance: draw j of sample i is a fixed function of (seed, i, j), so no sample hangs on
// another or on the thread that works on it.
//
// The bits are the SplitMix64 sequence [Ste14] entered at place i·2^32 + j, so two samples share
// draws only after 2^32 of one. Normals are Boost's ziggurat [Mar00], which is the same on every
// machine.
#pragma once

#include <boost/random/normal_distribution.hpp>
#include <cstdint>
#include <limits>

namespace runtrue::internal {

class SampleChance {
 public:
  using result_type = std::uint64_t;

  SampleChance() = default;
  SampleChance(std::uint64_t seed, std::int64_t sample)
      : state_(mixed(seed) + (static_cast<std::uint64_t>(sample) << 32) * kStep) {}

  static constexpr result_type min() { return 0; }
  static constexpr result_type max() { return std::numeric_limits<result_type>::max(); }
  result_type operator()() { return mixed(state_ += kStep); }

  // One draw of the standard normal distribution.
  double normal() { return boost::random::normal_distribution<double>()(*this); }

 private:
  static constexpr std::uint64_t kStep = 0x9E3779B97F4A7C15u;  // [Ste14]: 2^64 / golden ratio, odd

  static std::uint64_t mixed(std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
  }

  std::uint64_t state_ = 0;
};

}  // namespace runtrue::internal
