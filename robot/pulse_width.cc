#include "robot/pulse_width.h"

#include "robot/units_fit.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint16_t kUnit_us = 600;

}  // namespace

Refusal read_pulse_width(const PulseTrain& train, Frame& frame) {
  switch (train.count) {
    case 2 + 2 * 12 - 1:
      frame.protocol = Protocol::kPulseWidth12;
      break;
    case 2 + 2 * 15 - 1:
      frame.protocol = Protocol::kPulseWidth15;
      break;
    case 2 + 2 * 20 - 1:
      frame.protocol = Protocol::kPulseWidth20;
      break;
    default:
      return Refusal::kBits;
  }
  Margin margin;
  if (!margin.within(train.us[0], 3 * kUnit_us, 5 * kUnit_us)) return Refusal::kHeader;
  UnitsFit fit;
  const Refusal refusal = fit_units(train, 1, kUnit_us, fit);
  if (refusal != Refusal::kNone) return refusal;
  uint32_t bits = 0;
  uint32_t bit = 1;
  for (uint8_t i = 1; i < train.count; ++i) {
    const bool mark = (i & 1) == 0;
    const uint8_t units = units_of(train.us[i], mark, fit, margin);
    if (units == 0 || units > (mark ? 2 : 1)) return Refusal::kWidth;
    if (!mark) continue;
    if (units == 2) bits |= bit;
    bit <<= 1;
  }
  frame.command = bits & 0x7F;
  const uint16_t rest = static_cast<uint16_t>(bits >> 7);
  frame.address = rest;
  if (frame.protocol == Protocol::kPulseWidth20) {
    frame.address = rest & 0x1F;
    frame.extended = static_cast<uint8_t>(rest >> 5);
  }
  frame.margin_us = margin.least_us();
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
