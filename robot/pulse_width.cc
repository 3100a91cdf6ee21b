#include "robot/pulse_width.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

Refusal fields(const Bits& bits, Frame& frame) {
  const uint8_t* bytes = bits.bytes;
  frame.command = bytes[0] & 0x7F;
  const uint16_t rest = static_cast<uint16_t>(bytes[1] << 1 | bytes[0] >> 7);
  frame.address = rest;
  if (bits.count == 12) {
    frame.protocol = Protocol::kPulseWidth12;
  } else if (bits.count == 15) {
    frame.protocol = Protocol::kPulseWidth15;
  } else if (bits.count == 20) {
    frame.protocol = Protocol::kPulseWidth20;
    frame.address = rest & 0x1F;
    frame.extended = static_cast<uint8_t>(bytes[2] << 4 | bytes[1] >> 4);
  } else {
    return Refusal::kBits;
  }
  return Refusal::kNone;
}

}  // namespace

const PulseShape kPulseWidthShape RUNTRUE_FLASH = {4, 5,        2700 / 64, 3270 / 64,      0,
                                                   0, kByWidth, 20,        read_distances, fields};

}  // namespace robot
}  // namespace runtrue
