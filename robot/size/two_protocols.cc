// The least that a robot's reader is to know: NEC and RC-5. Linked in place of robot/read_train.cc.
#include "robot/nec.h"
#include "robot/pulse_reader.h"
#include "robot/rc5.h"

namespace runtrue {
namespace robot {

Refusal read_train(const PulseTrain& train, Frame& frame) {
  if (train.count > kMostPulses) return Refusal::kTooLong;
  if (train.count < 3) return Refusal::kBits;
  const PulseShape* shape = &kRc5Shape;
  if (train.us[0] > kLongestPlainMark_us) {
    shape = train.count == 3 ? &kNecRepeatShape : &kNecShape;
  }
  return read_by(shape, train, frame);
}

}  // namespace robot
}  // namespace runtrue
