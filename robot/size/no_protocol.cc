// A reader that knows no protocol, to tell the core's size from the decoders'. Linked in place of
// robot/read_train.cc.
#include "robot/pulse_reader.h"

namespace runtrue {
namespace robot {

Refusal read_train(const PulseTrain&, Frame&) { return Refusal::kHeader; }

}  // namespace robot
}  // namespace runtrue
