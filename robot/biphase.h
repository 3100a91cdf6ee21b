// Bits told by the direction of the change in their middle.
//
// A bit is a mark half and a space half, in the order that its value says. A space half before the
// first mark and after the last can't be seen; both are put back. Every bit must change in its
// middle, and the number of halves must come out whole, so a train with one bit more or less than a
// protocol has is told apart.
#pragma once

#include "robot/units_fit.h"

namespace runtrue {
namespace robot {

constexpr uint8_t kNoDouble = 255;

struct Biphase {
  uint8_t first;         // place of the first bit's mark or space
  uint16_t half_us;      // nominal
  bool space_first;      // a space half stands unseen before the first mark
  bool one_ends_marked;  // 1 is space then mark, else mark then space
  uint8_t double_bit;    // the number of the bit whose halves last two units, or kNoDouble
};

struct BiphaseBits {
  uint32_t value;  // the last 32, the last bit lowest
  uint8_t head;    // the first five, as a number
  uint8_t bits;
};

// kWidth where a width or a change doesn't fit, kBits where more than 37 bits come.
Refusal read_biphase(const PulseTrain& train, const Biphase& shape, BiphaseBits& bits,
                     Margin& margin);

}  // namespace robot
}  // namespace runtrue
