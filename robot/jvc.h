// JVC: protocol sheet and decoder.
//
//   8440   4220    b0 .. b15   527
//   mark   space   16 bits     end mark      17.4 ms and 1.055 ms for each 1; the header adds 12.7
//
// Carrier    37.9 kHz [Jvc06].
// Bit        1055 ± 60 from mark to mark for 0, 2110 ± 100 for 1, mark 527 ± 60 [Jvc06].
// Order      lowest bit first: custom byte, given as the address; data byte, given as the command.
// Check      none. A word without header is taken only beside an equal word (the twin), at most
//            kTwinWithin_us from start to start: 16 bits without header and check are too easily
//            noise.
// Repeats    the word without header every 46.42 ± 2 ms; the header once or not at all [Jvc06].
// Tolerance  the header's sum within 10 % of 12660, a 24th of which is the unit; without header
//            the unit is 528; bits as in pulse_distance.h.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains of 35 pulses that begin with a mark of 7 ms and more.
extern const PulseShape kJvcShape;
// For trains of 33 pulses without header; a good word answers kAwaitsTwin.
extern const PulseShape kBareJvcShape;

}  // namespace robot
}  // namespace runtrue
