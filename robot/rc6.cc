#include "robot/rc6.h"

#include "robot/biphase.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint16_t kToggleInCommand = 0x800F;

Refusal fields(const Bits& bits, Frame& frame) {
  const uint8_t mode = bits.head & 0x1E;  // with the start bit
  uint8_t body = static_cast<uint8_t>(bits.count - 5);
  const bool mode_6 = mode == 0x1C;
  if (mode == 0x10 && body == 16) {
    frame.protocol = Protocol::kRc6Mode0;
  } else if (mode_6 && body == 20) {
    frame.protocol = Protocol::kRc6A20;
  } else if (mode_6 && body == 24) {
    frame.protocol = Protocol::kRc6A24;
  } else if (mode_6 && body == 32) {
    frame.protocol = Protocol::kRc6A32;
  } else {
    return Refusal::kBits;
  }
  uint32_t rest = bits.value;
  for (uint8_t i = body; i != 32; ++i) rest <<= 1;  // the body's first bit comes to the top
  frame.address = static_cast<uint16_t>(rest >> 16);
  if (!mode_6 || frame.address < 0x8000) {
    frame.address >>= 8;
    rest <<= 8;
    body = static_cast<uint8_t>(body - 8);
  } else {
    rest <<= 16;
    body = static_cast<uint8_t>(body - 16);
  }
  for (; body != 32; ++body) rest >>= 1;
  frame.command = rest;
  frame.toggle = (bits.head & 1) != 0;
  if (bits.count == 37 && frame.address == kToggleInCommand) {
    frame.toggle = (frame.command & 0x8000) != 0;
    frame.command &= 0x7FFF;
  }
  return Refusal::kNone;
}

}  // namespace

const PulseShape kRc6Shape RUNTRUE_FLASH = {6, 8, 3270 / 64, 3900 / 64,   0,
                                            0, 0, 0,         read_halves, fields};

}  // namespace robot
}  // namespace runtrue
