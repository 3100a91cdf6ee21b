#include "robot/jvc.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {
namespace {

Refusal read_word(const PulseTrain& train, uint8_t first, uint16_t zero_us, Margin& margin,
                  Frame& frame) {
  uint8_t bytes[2];
  const PulseDistance shape = {first, 16, zero_us, 527};
  const Refusal refusal = read_pulse_distance(train, shape, bytes, margin);
  frame.protocol = Protocol::kJvc;
  frame.address = bytes[0];
  frame.command = bytes[1];
  frame.margin_us = margin.least_us();
  return refusal;
}

}  // namespace

Refusal read_jvc(const PulseTrain& train, Frame& frame) {
  Margin margin;
  if (!margin.within(train.us[0], 7440, 9440) || train.us[1] > 5500) return Refusal::kHeader;
  const uint16_t header = static_cast<uint16_t>(train.us[0] + train.us[1]);
  if (!margin.within(header, 11400, 13920)) return Refusal::kHeader;
  return read_word(train, 2, static_cast<uint16_t>(header / 12), margin, frame);
}

Refusal read_bare_jvc(const PulseTrain& train, Frame& frame) {
  Margin margin;
  const Refusal refusal = read_word(train, 0, 1055, margin, frame);
  return refusal == Refusal::kNone ? Refusal::kAwaitsTwin : refusal;
}

}  // namespace robot
}  // namespace runtrue
