// Bits told by the direction of the change in their middle.
//
// A bit is a mark half and a space half, in the order that its value says. A space half before the
// first mark and after the last can't be seen; both are put back. Every bit must change in its
// middle, and the number of halves must come out whole, so a train with one bit more or less than a
// protocol has is told apart.
//
// A receiver lengthens or shortens a mark by s at the cost of the space after it. So a mark and its
// space together last a whole number n of halves, whatever s; and as their lengths in halves differ
// by an even number where n is even, by an odd one where it is odd, mark - space tells them apart
// as long as 2 s is less than a half.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// Without header: a space half stands unseen before the first mark, and 1 is space then mark. With
// a header: 1 is mark then space, and the halves of the fifth bit last two units.
//
// Fills count, head and value. kWidth where a width or a change doesn't fit.
Refusal read_halves(const PulseTrain& train, const PulseShape& shape, uint16_t half_us, Bits& bits,
                    Margin& margin);

}  // namespace robot
}  // namespace runtrue
