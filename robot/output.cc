#include "robot/output.h"

#include "robot/shared_code.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint16_t kWhole = 16384;
static_assert(kFullDuty == kWhole, "a duty is a part of the whole");

// All sizes below are of what may be negative; 16 bits hold each of them.
RUNTRUE_SHARED uint16_t duty_size(int32_t level, uint16_t full) {
  const uint32_t size =
      level < 0 ? 0U - static_cast<uint32_t>(level) : static_cast<uint32_t>(level);
  const uint16_t cut = size > full ? full : static_cast<uint16_t>(size);
  return static_cast<uint16_t>((static_cast<uint32_t>(cut) * kWhole + full / 2U) / full);
}

// The duty of a level that its wheel's part of the trim scales; factor up to 20480.
RUNTRUE_SHARED uint16_t duty_of(int32_t level, uint16_t full, uint16_t factor) {
  const uint32_t whole = static_cast<uint32_t>(duty_size(level, full)) * factor;
  return static_cast<uint16_t>((whole + kWhole / 2U) / kWhole);
}

int16_t shift_of(int16_t trim, int16_t share) {
  const int32_t shift = static_cast<int32_t>(trim) * share;
  if (shift > kLargestShift) return kLargestShift;
  if (shift < -kLargestShift) return -kLargestShift;
  return static_cast<int16_t>(shift);
}

int16_t less(uint16_t size, uint16_t excess, int32_t level) {
  const int16_t left = static_cast<int16_t>(size > excess ? size - excess : 0);
  return level < 0 ? static_cast<int16_t>(-left) : left;
}

}  // namespace

Duties put_out(int32_t left_level, int32_t right_level, int16_t trim, const OutputRules& rules) {
  const uint16_t full = rules.full_level == 0 ? static_cast<uint16_t>(1) : rules.full_level;
  const int16_t shift = shift_of(trim, rules.trim_share);
  const uint16_t left = duty_of(left_level, full, static_cast<uint16_t>(kWhole - shift));
  const uint16_t right = duty_of(right_level, full, static_cast<uint16_t>(kWhole + shift));
  const uint16_t larger = left > right ? left : right;
  const uint16_t excess = larger > kWhole ? static_cast<uint16_t>(larger - kWhole) : uint16_t{0};
  return {less(left, excess, left_level), less(right, excess, right_level)};
}

}  // namespace robot
}  // namespace runtrue
