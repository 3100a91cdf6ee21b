#include "robot/samsung.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

Refusal fields(const Bits& bits, Frame& frame) {
  const uint8_t* bytes = bits.bytes;
  if (bytes[0] != bytes[1] || (bytes[2] ^ bytes[3]) != 0xFF) return Refusal::kCheck;
  frame.protocol = Protocol::kSamsung32;
  frame.address = bytes[0];
  frame.command = bytes[2];
  return Refusal::kNone;
}

}  // namespace

const PulseShape kSamsungShape RUNTRUE_FLASH = {8, 16,          8100 / 64, 9900 / 64,      0,
                                                0, kByDistance, 32,        read_distances, fields};

}  // namespace robot
}  // namespace runtrue
