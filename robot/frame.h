// What a frame says, and why a train of pulses was not taken for one.
#pragma once

#include <stdint.h>

namespace runtrue {
namespace robot {

enum class Protocol : uint8_t {
  kNec,
  kNecExtended,
  kNec32,
  kSamsung32,
  kJvc,
  kSharp,
  kDenon,
  kKaseikyo48,
  kRc5,
  kRc5x,
  kRc6Mode0,
  kRc6A20,
  kRc6A24,
  kRc6A32,
  kPulseWidth12,
  kPulseWidth15,
  kPulseWidth20,
  kBiphase15,
};
constexpr uint8_t kProtocols = 18;

struct Frame {
  uint32_t command;  // at most 24 bits
  uint16_t address;  // 0 in a repeat frame
  uint16_t
      margin_us;  // the least distance of any width, cleared of stretch where the protocol calls
                  // for it, from the border at which it would have been read or refused otherwise
  Protocol protocol;
  uint8_t extended;  // the third field of kPulseWidth20, bit b of kBiphase15, else 0
  bool repeat;       // a short frame that says "the same again" and bears no address
  bool toggle;       // changes from press to press; only RC-5, RC-6 and kBiphase15 have it
};

enum class Refusal : uint8_t {
  kNone,
  kHeader,      // begins like no protocol known here
  kBits,        // has a number of pulses that its header's protocols never have
  kWidth,       // a mark or space fits no width of the protocol
  kCheck,       // a check field says that a bit is wrong
  kAwaitsTwin,  // a word that only its neighbour can confirm, and none has yet
  kCut,         // broken off by a mark that begins another frame, or began without a silence before
  kTooLong,     // more pulses than the longest protocol has
};

}  // namespace robot
}  // namespace runtrue
