#include "robot/rc5.h"

#include "robot/biphase.h"

namespace runtrue {
namespace robot {
namespace {

Refusal fields(const Bits& bits, Frame& frame) {
  uint16_t word = static_cast<uint16_t>(bits.value);
  frame.command = word & 0x3F;
  frame.address = static_cast<uint8_t>(static_cast<uint16_t>(word << 2) >> 8);
  const uint8_t high = static_cast<uint8_t>(word >> 8);
  if (bits.count == 14) {
    frame.protocol = Protocol::kRc5;
    frame.address &= 0x1F;
    frame.toggle = (high & 0x08) != 0;
    if ((high & 0x10) == 0) {
      frame.protocol = Protocol::kRc5x;
      frame.command |= 64;
    }
  } else if (bits.count == 15) {
    frame.protocol = Protocol::kBiphase15;
    frame.address &= 0x3F;
    frame.toggle = (high & 0x10) != 0;
    frame.extended = (high & 0x20) != 0;
  } else {
    return Refusal::kBits;
  }
  return Refusal::kNone;
}

}  // namespace

const PulseShape kRc5Shape RUNTRUE_FLASH = {0, 0, 0, 0, 868 / 4, 0, 0, 0, read_halves, fields};

}  // namespace robot
}  // namespace runtrue
