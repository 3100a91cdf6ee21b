#include "robot/samsung.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {

Refusal read_samsung(const PulseTrain& train, Frame& frame) {
  Margin margin;
  if (train.count < 3) return Refusal::kBits;
  if (!margin.within(train.us[0], 3900, 5100) || train.us[1] > 6000) return Refusal::kHeader;
  const uint16_t header = static_cast<uint16_t>(train.us[0] + train.us[1]);
  if (!margin.within(header, 8100, 9900)) return Refusal::kHeader;
  uint8_t bytes[4];
  const PulseDistance shape = {2, 32, static_cast<uint16_t>(header / 8), 560};
  const Refusal refusal = read_pulse_distance(train, shape, bytes, margin);
  if (refusal != Refusal::kNone) return refusal;
  if (bytes[0] != bytes[1] || (bytes[2] ^ bytes[3]) != 0xFF) return Refusal::kCheck;
  frame.protocol = Protocol::kSamsung32;
  frame.address = bytes[0];
  frame.command = bytes[2];
  frame.margin_us = margin.least_us();
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
