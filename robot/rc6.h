// RC-6 mode 0 and mode 6A with 20, 24 or 32 bits: protocol sheet and decoder.
//
//   6t     2t      1  mode 3  toggle (double)  body
//   mark   space   biphase                             mode 0: 23.1 ms; 6A: 26.7, 30.2, 37.3 ms
//
// Carrier    36 kHz ± 1 % [Rc6P10].
// Bit        biphase, 1 is mark then space (the opposite of RC-5); t = 444.4 ± 1 % is half a bit;
//            the fifth bit's halves last 2t each.
// Order      highest bit first. Mode 000: address 8, command 8. Mode 110: a customer number of 8
//            bits where its first bit is 0 or of 16 where it is 1, given as the address; the rest
//            is the command. With customer 0x800F the toggle is the highest of the 16 command bits
//            and the fifth bit says nothing [Kern61].
// Check      none but header, mode and number of bits.
// Repeats    whole frames every 106.7 ms (240 t; measured 106.0 to 106.5) with the toggle
//            unchanged; 2.7 ms of silence after a frame.
// Tolerance  t is an eighth of the header's sum, 3270 to 3900; a distance from mark to mark may be
//            off by 222, a mark by 211 where the clock is 5 % fast, see biphase.h: the receiver's
//            limits are -139 and +167 [Tsop38].
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains whose header lasts 3270 to 3900 µs.
extern const PulseShape kRc6Shape;

}  // namespace robot
}  // namespace runtrue
