// 12, 15 and 20 bits by pulse width at 40 kHz: protocol sheet and decoder.
//
//   2400   600     b0 .. b11, b14 or b19
//   mark   space   marks with spaces of 600 between      16.8, 20.4, 26.4 ms and 0.6 for each 1
//
// Carrier    40 kHz (480/12), a third of the time on [Stf1].
// Bit        mark 600 for 0, 1200 for 1; spaces 600. No end mark: the last bit is the last mark.
// Order      lowest bit first: command 7; address 5 (12 and 20 bits) or 8 (15 bits); 20 bits end
//            with 8 more, given as `extended` [Kern61].
// Check      none but header and number of bits.
// Repeats    whole frames every 45 ms (20 bits measured 44.75 to 44.80) [Stf1].
// Tolerance  the header's sum 2688 to 3270, a fifth of which is the unit; bits as in
//            pulse_distance.h, from the end of a mark to the end of the next.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains whose header lasts less than 3270 µs.
extern const PulseShape kPulseWidthShape;

}  // namespace robot
}  // namespace runtrue
