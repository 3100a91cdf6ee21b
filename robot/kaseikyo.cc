#include "robot/kaseikyo.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

Refusal fields(const Bits& bits, Frame& frame) {
  const uint8_t* bytes = bits.bytes;
  const uint8_t customer = bytes[0] ^ bytes[1];
  const uint8_t parity = static_cast<uint8_t>((customer ^ customer >> 4 ^ bytes[2]) & 0x0F);
  if (parity != 0 || (bytes[2] ^ bytes[3] ^ bytes[4] ^ bytes[5]) != 0) return Refusal::kCheck;
  frame.protocol = Protocol::kKaseikyo48;
  frame.address = static_cast<uint16_t>(bytes[0] | bytes[1] << 8);
  uint32_t command =
      static_cast<uint32_t>(bytes[4]) << 16 | static_cast<uint16_t>(bytes[3] << 8) | bytes[2];
  frame.command = command >> 4;
  return Refusal::kNone;
}

}  // namespace

const PulseShape kKaseikyoShape RUNTRUE_FLASH = {8, 12,          4000 / 64, 6300 / 64,      0,
                                                 0, kByDistance, 48,        read_distances, fields};

}  // namespace robot
}  // namespace runtrue
