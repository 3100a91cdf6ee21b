#include "robot/nec.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

Refusal fields(const Bits& bits, Frame& frame) {
  const uint8_t* bytes = bits.bytes;
  frame.address = static_cast<uint16_t>(bytes[0] | bytes[1] << 8);
  uint16_t command = bytes[2];
  const bool command_checks = (bytes[2] ^ bytes[3]) == 0xFF;
  if ((bytes[0] ^ bytes[1]) == 0xFF) {
    if (!command_checks) return Refusal::kCheck;
    frame.protocol = Protocol::kNec;
    frame.address = bytes[0];
  } else if (command_checks) {
    frame.protocol = Protocol::kNecExtended;
  } else {
    frame.protocol = Protocol::kNec32;
    command = static_cast<uint16_t>(bytes[2] | bytes[3] << 8);
  }
  frame.command = command;
  return Refusal::kNone;
}

Refusal repeat(const Bits& /*bits*/, Frame& frame) {
  frame.repeat = true;
  frame.protocol = Protocol::kNec;
  return Refusal::kNone;
}

}  // namespace

const PulseShape kNecShape RUNTRUE_FLASH = {16, 24,          12150 / 64, 14850 / 64 + 1, 0,
                                            0,  kByDistance, 32,         read_distances, fields};
const PulseShape kNecRepeatShape RUNTRUE_FLASH = {16,          20, 10125 / 64,     12375 / 64, 0, 0,
                                                  kByDistance, 0,  read_distances, repeat};

}  // namespace robot
}  // namespace runtrue
