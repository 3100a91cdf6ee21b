// Kaseikyo, 48 bits: protocol sheet and decoder.
//
//   8T     4T      b0 .. b47   T
//   mark   space   48 bits     end mark      60.9 ms with T = 432 and 16 ones
//
// Carrier    33 to 40 kHz [Aeha1].
// Bit        mark T, space T for 0 or 3T for 1; T is 350 to 500, usually 425 to 432 (from memory).
// Order      lowest bit first: customer 16, parity 4, genre 4 and 4, data 10, identity 2, check 8
//            [Den07]. The customer number is given as the address, the 20 bits from genre to
//            identity as the command.
// Check      the four nibbles of the customer number and the parity nibble xor to 0; bytes 3, 4
//            and 5 xor to byte 6 [Den07].
// Repeats    whole frames about every 130 ms (from memory). A short repeat form, known from memory
//            alone, is refused.
// Tolerance  T is a twelfth of the header's sum, 4000 to 6300; bits as in pulse_distance.h.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains whose header lasts more than 3900 µs.
extern const PulseShape kKaseikyoShape;

}  // namespace robot
}  // namespace runtrue
