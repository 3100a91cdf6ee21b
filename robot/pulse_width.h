// 12, 15 and 20 bits by pulse width at 40 kHz: protocol sheet and decoder.
//
//   2400   600     b0 .. b11, b14 or b19                    16.8, 20.4 or 26.4 ms and 0.6 ms for
//   each 1 mark   space   marks with spaces of 600 between
//
// Carrier    40 kHz (480/12), a third of the time on [Stf1].
// Bit        mark 600 for 0, 1200 for 1; spaces 600. No end mark: the last bit is the last mark.
// Order      lowest bit first: command 7; address 5 (12 and 20 bits) or 8 (15 bits); 20 bits end
// with 8
//            more, given as `extended` [Kern61].
// Check      none but header and number of bits.
// Repeats    whole frames every 45 ms (20 bits measured 44.75 to 44.80) [Stf1].
// Tolerance  unit and stretch fitted to the frame, see units_fit.h; the header's mark within 600 of
// 2400;
//            after the fit a mark may be off by just under 300, the receiver's limits are -125 and
//            +150.
#pragma once

#include "robot/frame.h"
#include "robot/pulse_train.h"

namespace runtrue {
namespace robot {

// For trains whose header sums to less than 3270 µs.
Refusal read_pulse_width(const PulseTrain& train, Frame& frame);

}  // namespace robot
}  // namespace runtrue
