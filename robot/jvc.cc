#include "robot/jvc.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

Refusal fields(const Bits& bits, Frame& frame) {
  const uint8_t* bytes = bits.bytes;
  frame.protocol = Protocol::kJvc;
  frame.address = bytes[0];
  frame.command = bytes[1];
  return Refusal::kNone;
}

Refusal bare_fields(const Bits& bits, Frame& frame) {
  fields(bits, frame);
  return Refusal::kAwaitsTwin;
}

}  // namespace

const PulseShape kJvcShape RUNTRUE_FLASH = {16, 24,          11400 / 64, 13920 / 64,     0,
                                            0,  kByDistance, 16,         read_distances, fields};
const PulseShape kBareJvcShape RUNTRUE_FLASH = {
    0, 0, 0, 0, 528 / 4, 0, kByDistance, 16, read_distances, bare_fields};

}  // namespace robot
}  // namespace runtrue
