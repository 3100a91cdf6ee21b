#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

bool Margin::within(uint16_t width, uint16_t low, uint16_t high) {
  if (width < low || width > high) return false;
  const uint16_t below = static_cast<uint16_t>(width - low);
  const uint16_t above = static_cast<uint16_t>(high - width);
  const uint16_t nearest = below < above ? below : above;
  if (nearest < least_) least_ = nearest;
  return true;
}

Refusal read_by(const PulseShape* in_flash, const PulseTrain& train, Frame& frame) {
  const PulseShape shape = from_flash(in_flash);
  Margin margin;
  uint16_t unit = static_cast<uint16_t>(shape.unit_4us * 4);
  if (shape.header_mark != 0) {
    const uint16_t mark = train.us[0];
    const uint16_t header = static_cast<uint16_t>(mark + train.us[1]);
    unit = static_cast<uint16_t>(header / shape.header);
    // By so much the mark is longer than it should be, and the slack.
    const uint16_t over =
        static_cast<uint16_t>(mark - shape.header_mark * unit + kHeaderMarkSlack_us);
    if (!margin.within(header, static_cast<uint16_t>(shape.shortest_64us * 64),
                       static_cast<uint16_t>(shape.longest_64us * 64)) ||
        !margin.within(over, 0, 2 * kHeaderMarkSlack_us)) {
      return Refusal::kHeader;
    }
  }
  Bits bits;
  const Refusal refusal = shape.engine(train, shape, unit, bits, margin);
  if (refusal != Refusal::kNone) return refusal;
  frame.margin_us = margin.least_us();
  return shape.fields(bits, frame);
}

}  // namespace robot
}  // namespace runtrue
