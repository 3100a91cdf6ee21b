// One frame as a receiver gives it: how long each mark and each space lasted.
//
// Freestanding C++14, for the chip and the host. A mark is a burst of the carrier (the receiver's
// output is low), a space is its absence.
#pragma once

#include <stdint.h>

namespace runtrue {
namespace robot {

// The longest protocol: a header of two, 48 bits of two, the end mark.
constexpr uint8_t kMostPulses = 99;

constexpr uint16_t kLongestPulse_us = 32767;

// Even places are marks, odd ones spaces; the first and the last are marks. The space after the
// last mark is the gap that ended the frame and is not among them.
struct PulseTrain {
  uint8_t count;
  uint16_t us[kMostPulses];  // microseconds; longer ones are kept as kLongestPulse_us
};

}  // namespace robot
}  // namespace runtrue
