// Sharp and Denon, 15 bits: protocol sheet and decoder.
//
//   b0 .. b14   264
//   15 bits     end mark      16.0 to 31.8 ms
//
// Carrier    37.9 kHz, half of the time on [Sharp15].
// Bit        mark 264 (other documents 320); 1050 from mark to mark for 0, 2100 for 1.
// Order      lowest bit first: address 5, command 8, expansion 1, check 1. Expansion and check are
//            1, 0 in a Sharp word and 0, 0 in a Denon word (the latter from memory).
// Check      every other word has its last 10 bits inverted; a word counts only beside its
//            inverted twin, at most kTwinWithin_us from start to start.
// Repeats    words every 67.5 ms from start to start.
// Tolerance  no header: the unit is taken as 524; bits as in pulse_distance.h, about a mark of 292.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains of 31 pulses without header. A good word answers kAwaitsTwin; the command is given
// right way up, and `toggle` tells an inverted word until its twin is found.
extern const PulseShape kSharpShape;

}  // namespace robot
}  // namespace runtrue
