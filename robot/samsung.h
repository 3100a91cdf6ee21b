// Samsung 32: protocol sheet and decoder.
//
//   4500   4500    b0 .. b31   560
//   mark   space   32 bits     end mark      45.4 ms and 1.12 ms for each 1
//
// Carrier    about 38 kHz (from memory).
// Bit        mark 560, space 560 for 0 or 1690 for 1 (from memory); open key tables give mark 600,
//            spaces 500 and 1600 [IrTab1]: 1100 to 1120 or 2200 to 2240 from mark to mark.
// Order      lowest bit first: address, the address again, command, its complement.
// Check      both address bytes equal, the command's complement: all codes of the open tables obey
//            [IrTab1].
// Repeats    whole frames every 108 ms (from memory).
// Tolerance  the header's sum within 10 % of 9000, a 16th of which is the unit; bits as in
//            pulse_distance.h.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains that begin with a mark of 2100 to 7000 µs and a space of 3 ms and more.
extern const PulseShape kSamsungShape;

}  // namespace robot
}  // namespace runtrue
