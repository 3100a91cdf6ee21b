// Every protocol there is. A build with less room may link another `read_train` that asks fewer
// decoders, as robot/size/two_protocols.cc does.
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
namespace {

Refusal read_with_short_header(const PulseTrain& train, Frame& frame) {
  const uint32_t header = static_cast<uint32_t>(train.us[0]) + train.us[1];
  if (header > 3900) return read_kaseikyo(train, frame);  // 12 T, 4200 at least, 5 % fast: 3990
  if (header >= 3270) return read_rc6(train, frame);      // 8 t: 3555; pulse width: 3000
  return read_pulse_width(train, frame);
}

Refusal read_without_header(const PulseTrain& train, Frame& frame) {
  if (train.count == 31) return read_sharp(train, frame);
  if (train.count == 33) return read_bare_jvc(train, frame);
  return train.count < 31 ? read_rc5(train, frame) : Refusal::kBits;
}

}  // namespace

Refusal read_train(const PulseTrain& train, Frame& frame) {
  if (train.count > kMostPulses) return Refusal::kTooLong;
  const uint16_t mark = train.us[0];
  if (mark <= kLongestPlainMark_us) return read_without_header(train, frame);
  if (train.count < 3) return Refusal::kBits;
  if (mark >= 7000) return train.count == 35 ? read_jvc(train, frame) : read_nec(train, frame);
  return train.us[1] < 3000 ? read_with_short_header(train, frame) : read_samsung(train, frame);
}

}  // namespace robot
}  // namespace runtrue
