#include "robot/rc5.h"

#include "robot/biphase.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint8_t kBits = 14;
constexpr uint8_t kLongerBits = 15;
// Between 888.9 and 843 µs: either form is taken with its clock some 5 % off.
constexpr uint16_t kHalf_us = 870;

}  // namespace

Refusal read_rc5(const PulseTrain& train, Frame& frame) {
  Margin margin;
  BiphaseBits bits;
  const Refusal refusal = read_biphase(train, {0, kHalf_us, true, true, kNoDouble}, bits, margin);
  if (refusal != Refusal::kNone) return refusal;
  if (bits.bits != kBits && bits.bits != kLongerBits) return Refusal::kBits;
  const uint16_t word = static_cast<uint16_t>(bits.value);
  frame.command = word & 0x3F;
  frame.margin_us = margin.least_us();
  if (bits.bits == kBits) {
    const bool upper = (word & 0x1000) == 0;
    frame.protocol = upper ? Protocol::kRc5x : Protocol::kRc5;
    frame.toggle = (word & 0x0800) != 0;
    frame.address = static_cast<uint16_t>(word >> 6 & 0x1F);
    if (upper) frame.command += 64;
  } else {
    frame.protocol = Protocol::kBiphase15;
    frame.toggle = (word & 0x1000) != 0;
    frame.address = static_cast<uint16_t>(word >> 6 & 0x3F);
    frame.extended = static_cast<uint8_t>(word >> 13 & 1);
  }
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
