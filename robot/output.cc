#include "robot/output.h"

namespace runtrue {
namespace robot {
namespace {

constexpr int32_t kWhole = 16384;

uint32_t size_of(int32_t level) {
  return level < 0 ? 0U - static_cast<uint32_t>(level) : static_cast<uint32_t>(level);
}

int32_t duty_size(int32_t level, uint16_t full) {
  uint32_t size = size_of(level);
  if (size > full) size = full;
  return static_cast<int32_t>((size * static_cast<uint32_t>(kWhole) + full / 2U) / full);
}

int32_t scaled(int32_t duty, int32_t factor) { return (duty * factor + kWhole / 2) / kWhole; }

int32_t shift_of(int16_t trim, int16_t share) {
  const int32_t shift = static_cast<int32_t>(trim) * share;
  if (shift > kLargestShift) return kLargestShift;
  if (shift < -kLargestShift) return -kLargestShift;
  return shift;
}

int16_t with_sign(int32_t size, int32_t level) {
  return static_cast<int16_t>(level < 0 ? -size : size);
}

}  // namespace

Duties put_out(int32_t left_level, int32_t right_level, int16_t trim, const OutputRules& rules) {
  const uint16_t full = rules.full_level == 0 ? static_cast<uint16_t>(1) : rules.full_level;
  const int32_t shift = shift_of(trim, rules.trim_share);
  int32_t left = scaled(duty_size(left_level, full), kWhole - shift);
  int32_t right = scaled(duty_size(right_level, full), kWhole + shift);
  const int32_t larger = left > right ? left : right;
  if (larger > kFullDuty) {
    const int32_t excess = larger - kFullDuty;
    left = left > excess ? left - excess : 0;
    right = right > excess ? right - excess : 0;
  }
  return {with_sign(left, left_level), with_sign(right, right_level)};
}

}  // namespace robot
}  // namespace runtrue
