// Every protocol there is. A build with less room may link another `read_train` that asks fewer
// protocols, as robot/size/two_protocols.cc does.
#include "robot/jvc.h"
#include "robot/kaseikyo.h"
#include "robot/nec.h"
#include "robot/pulse_reader.h"
#include "robot/pulse_width.h"
#include "robot/rc5.h"
#include "robot/rc6.h"
#include "robot/samsung.h"
#include "robot/sharp.h"

namespace runtrue {
namespace robot {

Refusal read_train(const PulseTrain& train, Frame& frame) {
  const uint8_t count = train.count;
  if (count > kMostPulses) return Refusal::kTooLong;
  if (count < 3) return Refusal::kBits;
  const uint16_t mark = train.us[0];
  const uint16_t space = train.us[1];
  const PulseShape* shape = &kRc5Shape;
  if (mark <= kLongestPlainMark_us) {
    if (count == 31) {
      shape = &kSharpShape;
    } else if (count > 31) {
      shape = &kBareJvcShape;
    }
  } else if (mark >= 7000) {
    shape = &kNecShape;
    if (count == 3) {
      shape = &kNecRepeatShape;
    } else if (count == 35) {
      shape = &kJvcShape;
    }
  } else if (space >= 3000) {
    shape = &kSamsungShape;
  } else {
    const uint16_t header = static_cast<uint16_t>(mark + space);
    shape = &kPulseWidthShape;  // 5 units of 600: 3000
    if (header > 3900) {
      shape = &kKaseikyoShape;  // 12 T, 4200 at least, 5 % fast: 3990
    } else if (header >= 3270) {
      shape = &kRc6Shape;  // 8 t: 3555
    }
  }
  return read_by(shape, train, frame);
}

}  // namespace robot
}  // namespace runtrue
