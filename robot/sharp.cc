#include "robot/sharp.h"

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {

Refusal read_sharp(const PulseTrain& train, Frame& frame) {
  Margin margin;
  uint8_t bytes[2];
  const Refusal refusal = read_pulse_distance(train, {0, 15, 1050, 290}, bytes, margin);
  if (refusal != Refusal::kNone) return refusal;
  const uint8_t last = static_cast<uint8_t>(bytes[1] >> 5);  // expansion is its low bit
  const uint8_t command = static_cast<uint8_t>(bytes[0] >> 5 | static_cast<uint8_t>(bytes[1] << 3));
  const bool inverted = (last & 2) != 0;
  frame.protocol = (last == 1 || last == 2) ? Protocol::kSharp : Protocol::kDenon;
  frame.address = bytes[0] & 0x1F;
  frame.command = inverted ? static_cast<uint8_t>(~command) : command;
  frame.toggle = inverted;
  frame.margin_us = margin.least_us();
  return Refusal::kAwaitsTwin;
}

}  // namespace robot
}  // namespace runtrue
