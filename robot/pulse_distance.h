// Bits told by the distance from one mark to the next: once for 0, twice for 1.
//
// A receiver lengthens or shortens a mark at the cost of the space after it, so only their sum is
// the sender's. A sum up to 1.5 times the zero's is a 0, up to 2.5 times a 1; 0.5 is the least that
// is a 0. Measured sums of real remotes lie within 6 % of the nominal, clock errors within 5 %.
#pragma once

#include <stdint.h>

#include "robot/frame.h"
#include "robot/pulse_train.h"

namespace runtrue {
namespace robot {

// Keeps the least distance of any width from its borders.
class Margin {
 public:
  // Whether low <= width <= high.
  bool within(uint16_t width, uint16_t low, uint16_t high);
  void distance(uint16_t us) {
    if (us < least_) least_ = us;
  }
  uint16_t least_us() const { return least_; }

 private:
  uint16_t least_ = 65535;
};

struct PulseDistance {
  uint8_t first;     // place of the first bit's mark
  uint8_t bits;      // the last byte is filled from its low end
  uint16_t zero_us;  // mark and space of a 0
  uint16_t mark_us;  // nominal; a mark may be off by kMarkSlack_us
};

// The receiver may make a mark 132 µs shorter or 158 longer at 38 kHz, and near the end of its
// range 250 shorter [Tsop38, fig. 2]; a clock 5 % off adds 30.
constexpr uint16_t kMarkSlack_us = 280;

// Reads `shape.bits` bits and the end mark after them, the first bit as the lowest of bytes[0].
// kBits where the train has another length, kWidth where a mark or a sum is outside.
Refusal read_pulse_distance(const PulseTrain& train, const PulseDistance& shape, uint8_t* bytes,
                            Margin& margin);

}  // namespace robot
}  // namespace runtrue
