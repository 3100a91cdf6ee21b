#include "robot/sharp.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

Refusal fields(const Bits& bits, Frame& frame) {
  const uint8_t* bytes = bits.bytes;
  const uint16_t word = static_cast<uint16_t>(bytes[0] | bytes[1] << 8);
  uint8_t command = static_cast<uint8_t>(word >> 5);
  const uint8_t last = static_cast<uint8_t>(bytes[1] >> 5);  // expansion is its low bit
  frame.toggle = (last & 2) != 0;
  if (frame.toggle) command = static_cast<uint8_t>(~command);
  frame.protocol = (last == 1 || last == 2) ? Protocol::kSharp : Protocol::kDenon;
  frame.address = bytes[0] & 0x1F;
  frame.command = command;
  return Refusal::kAwaitsTwin;
}

}  // namespace

const PulseShape kSharpShape RUNTRUE_FLASH = {
    0, 0, 0, 0, 524 / 4, 292 / 4, kByDistance, 15, read_distances, fields};

}  // namespace robot
}  // namespace runtrue
