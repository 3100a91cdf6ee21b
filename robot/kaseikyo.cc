#include "robot/kaseikyo.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {

Refusal read_kaseikyo(const PulseTrain& train, Frame& frame) {
  Margin margin;
  if (train.count < 3) return Refusal::kBits;
  if (train.us[1] > 3000) return Refusal::kHeader;
  const uint16_t header = static_cast<uint16_t>(train.us[0] + train.us[1]);
  if (!margin.within(header, 4000, 6300)) return Refusal::kHeader;
  const uint16_t t = static_cast<uint16_t>(header / 12);
  if (!margin.within(train.us[0], static_cast<uint16_t>(8 * t - 450),
                     static_cast<uint16_t>(8 * t + 450))) {
    return Refusal::kHeader;
  }
  uint8_t bytes[6];
  const PulseDistance shape = {2, 48, static_cast<uint16_t>(header / 6), t};
  const Refusal refusal = read_pulse_distance(train, shape, bytes, margin);
  if (refusal != Refusal::kNone) return refusal;
  const uint8_t customer = bytes[0] ^ bytes[1];
  const uint8_t parity = static_cast<uint8_t>((customer ^ customer >> 4 ^ bytes[2]) & 0x0F);
  if (parity != 0 || (bytes[2] ^ bytes[3] ^ bytes[4] ^ bytes[5]) != 0) return Refusal::kCheck;
  frame.protocol = Protocol::kKaseikyo48;
  frame.address = static_cast<uint16_t>(bytes[0] | bytes[1] << 8);
  frame.command = static_cast<uint32_t>(bytes[2] >> 4) | static_cast<uint32_t>(bytes[3]) << 4 |
                  static_cast<uint32_t>(bytes[4]) << 12;
  frame.margin_us = margin.least_us();
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
