#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {

Refusal read_distances(const PulseTrain& train, const PulseShape& shape, uint16_t unit_us,
                       Bits& bits, Margin& margin) {
  const bool width = shape.one == kByWidth;
  const uint16_t* pulse = train.us;
  uint8_t left = train.count;
  if (shape.header_mark != 0) {
    const uint8_t skip = width ? 1 : 2;
    pulse += skip;
    left = static_cast<uint8_t>(left - skip);
  }
  bits.count = left / 2;
  if (width ? bits.count > shape.bits : bits.count != shape.bits) return Refusal::kBits;
  uint16_t mark = unit_us;
  if (shape.mark_4us != 0) mark = static_cast<uint16_t>(shape.mark_4us * 4);
  const uint16_t longest = static_cast<uint16_t>(mark + kMarkSlack_us);
  const uint16_t shortest = mark > kMarkSlack_us ? static_cast<uint16_t>(mark - kMarkSlack_us) : 0;
  const uint16_t step = width ? unit_us : static_cast<uint16_t>(2 * unit_us);
  const uint16_t least = static_cast<uint16_t>(2 * unit_us - step / 2);
  uint8_t* byte = bits.bytes - 1;
  uint8_t mask = 0;
  while (true) {
    if (!margin.within(*pulse++, shortest, longest)) return Refusal::kWidth;
    if (left == 1) return Refusal::kNone;
    mask = static_cast<uint8_t>(mask << 1);
    if (mask == 0) {
      mask = 1;
      *++byte = 0;
    }
    const uint16_t sum = static_cast<uint16_t>(pulse[-1] + *pulse);
    ++pulse;
    uint16_t low = least;
    if (sum >= static_cast<uint16_t>(least + step)) {
      low = static_cast<uint16_t>(least + step);
      *byte |= mask;
    }
    if (!margin.within(sum, low, static_cast<uint16_t>(low + step))) return Refusal::kWidth;
    left = static_cast<uint8_t>(left - 2);
    if (left == 0) return Refusal::kNone;
  }
}

}  // namespace robot
}  // namespace runtrue
