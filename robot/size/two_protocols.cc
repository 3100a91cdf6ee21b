// The least that a robot's reader is to know: NEC and RC-5. Linked in place of robot/read_train.cc.
#include "robot/nec.h"
#include "robot/pulse_reader.h"
#include "robot/rc5.h"

namespace runtrue {
namespace robot {

Refusal read_train(const PulseTrain& train, Frame& frame) {
  if (train.count > kMostPulses) return Refusal::kTooLong;
  return train.us[0] > kLongestPlainMark_us ? read_nec(train, frame) : read_rc5(train, frame);
}

}  // namespace robot
}  // namespace runtrue
