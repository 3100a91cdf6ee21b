#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {

bool Margin::within(uint16_t width, uint16_t low, uint16_t high) {
  if (width < low || width > high) return false;
  distance(static_cast<uint16_t>(width - low));
  distance(static_cast<uint16_t>(high - width));
  return true;
}

Refusal read_pulse_distance(const PulseTrain& train, const PulseDistance& shape, uint8_t* bytes,
                            Margin& margin) {
  if (train.count != shape.first + 2 * shape.bits + 1) return Refusal::kBits;
  const uint16_t zero = shape.zero_us;
  const uint16_t half = zero / 2;
  const uint16_t border = static_cast<uint16_t>(zero + half);
  const uint16_t shortest =
      shape.mark_us > kMarkSlack_us ? static_cast<uint16_t>(shape.mark_us - kMarkSlack_us) : 0;
  const uint16_t longest = static_cast<uint16_t>(shape.mark_us + kMarkSlack_us);
  const uint16_t* pulse = train.us + shape.first;
  uint8_t byte = 0;
  uint8_t filled = 0;
  for (uint8_t left = shape.bits; left != 0; --left, pulse += 2) {
    if (!margin.within(pulse[0], shortest, longest)) return Refusal::kWidth;
    const uint32_t whole = static_cast<uint32_t>(pulse[0]) + pulse[1];
    if (whole > 65535U) return Refusal::kWidth;
    const uint16_t sum = static_cast<uint16_t>(whole);
    const bool one = sum >= border;
    const uint16_t low = one ? border : half;
    if (!margin.within(sum, low, static_cast<uint16_t>(low + zero))) return Refusal::kWidth;
    byte = static_cast<uint8_t>((byte >> 1) | (one ? 0x80 : 0));
    if (++filled == 8 || left == 1) {
      *bytes++ = static_cast<uint8_t>(byte >> (8 - filled));
      byte = 0;
      filled = 0;
    }
  }
  return margin.within(*pulse, shortest, longest) ? Refusal::kNone : Refusal::kWidth;
}

}  // namespace robot
}  // namespace runtrue
