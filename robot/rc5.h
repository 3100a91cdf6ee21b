// RC-5, RC-5X and the 15-bit biphase of some remotes at 57 kHz: protocol sheet and decoder.
//
//   1  field  toggle  address 5  command 6      RC-5: 14 bits, 24.9 ms
//   1  b      toggle  address 6  command 6      15 bits, 23.6 to 25.3 ms
//
// Carrier    36 kHz, a quarter to a third of the time on [StAn1]; the 15-bit form 57 kHz
//            (measured).
// Bit        biphase, 1 is space then mark; half a bit 888.9 (32 cycles of 36 kHz), the 15-bit
//            form 843 (measured). No header; the first half of the start bit can't be seen.
// Order      highest bit first. In RC-5X a field bit of 0 means commands 64 to 127 [StAn1]. The
//            bit b of the 15-bit form is given as `extended`.
// Check      none but the number of bits: a 14-bit reader takes the 15-bit form for a wrong RC-5,
//            so the frame is counted up to its trailing gap.
// Repeats    whole frames with the toggle unchanged, RC-5 every 113.8 ms (64 bit times; measured
//            112.5 to 112.7), the 15-bit form every 49.9 (measured). The toggle flips with every
//            press.
// Tolerance  the half is taken as 868, between the two: 5 % off either way leaves 160 µs of the
//            longest distance from mark to mark, 4 halves; a mark may be off by 440. See biphase.h.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains of 3 to 29 pulses without header.
extern const PulseShape kRc5Shape;

}  // namespace robot
}  // namespace runtrue
