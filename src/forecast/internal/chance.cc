#include "forecast/internal/chance.h"

#include "forecast/internal/wide.h"

namespace runtrue::internal {
namespace {

// Within (0, 1), in steps of 2^-52.
[[gnu::always_inline]] inline double part_of_one(std::uint64_t bits) {
  return std::bit_cast<double>((bits >> 12) | 0x3FF0000000000000u) - (1.0 - 0x1p-53);
}

RUNTRUE_WIDE void draw_normals(std::uint64_t first, double* one, double* other) {
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const std::uint64_t entry = first + (static_cast<std::uint64_t>(i) << 32) * kChanceStep;
    const double u = part_of_one(mixed(entry + kChanceStep));
    const double v = part_of_one(mixed(entry + 2 * kChanceStep));
    const double radius = std::sqrt(-2.0 * log_of(u));
    const SinCos direction = sin_cos((v - 0.5) * (2.0 * std::numbers::pi));
    one[i] = radius * direction.cos;
    other[i] = radius * direction.sin;
  }
}

}  // namespace

void Chance::draw(Lane& one, Lane& other) {
  draw_normals(state_, one.data(), other.data());
  state_ += 2 * kChanceStep;
}

}  // namespace runtrue::internal
