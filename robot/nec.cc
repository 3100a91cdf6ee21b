#include "robot/nec.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint16_t kMark_us = 562;

Refusal read_repeat(const PulseTrain& train, Margin& margin, Frame& frame) {
  frame.protocol = Protocol::kNec;
  frame.repeat = true;
  return margin.within(train.us[1], 1800, 3000) &&
                 margin.within(train.us[2], kMark_us - kMarkSlack_us, kMark_us + kMarkSlack_us)
             ? Refusal::kNone
             : Refusal::kWidth;
}

}  // namespace

Refusal read_nec(const PulseTrain& train, Frame& frame) {
  Margin margin;
  if (!margin.within(train.us[0], 7800, 10200)) return Refusal::kHeader;
  if (train.count == 3) {
    const Refusal refusal = read_repeat(train, margin, frame);
    frame.margin_us = margin.least_us();
    return refusal;
  }
  if (train.count < 3) return Refusal::kBits;
  if (!margin.within(train.us[1], 3300, 5700)) return Refusal::kHeader;
  const uint16_t header = static_cast<uint16_t>(train.us[0] + train.us[1]);
  if (!margin.within(header, 12150, 14850)) return Refusal::kHeader;
  uint8_t bytes[4];
  const PulseDistance shape = {2, 32, static_cast<uint16_t>(header / 12), kMark_us};
  const Refusal refusal = read_pulse_distance(train, shape, bytes, margin);
  if (refusal != Refusal::kNone) return refusal;
  frame.margin_us = margin.least_us();
  frame.address = static_cast<uint16_t>(bytes[0] | bytes[1] << 8);
  frame.command = bytes[2];
  const bool command_checks = (bytes[2] ^ bytes[3]) == 0xFF;
  if ((bytes[0] ^ bytes[1]) == 0xFF) {
    if (!command_checks) return Refusal::kCheck;
    frame.protocol = Protocol::kNec;
    frame.address = bytes[0];
  } else if (command_checks) {
    frame.protocol = Protocol::kNecExtended;
  } else {
    frame.protocol = Protocol::kNec32;
    frame.command = static_cast<uint16_t>(bytes[2] | bytes[3] << 8);
  }
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
