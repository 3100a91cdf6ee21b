// NEC, NEC extended, NEC 32 raw: protocol sheet and decoder.
//
//   9000      4500    b0 .. b31    560
//   mark      space   32 bits      end mark      68.1 ms where both pairs are complements
//   9000      2250    560                        repeat frame without address, 11.8 ms
//
// Carrier    37.9 kHz (455/12), a third of the time on [Nec95].
// Bit        mark 562, space 562 for 0 or 1687 for 1: 1125 or 2250 from mark to mark.
// Order      lowest bit first: address, its complement, command, its complement. Extended: the
//            two address bytes are one number, low byte first. 32 raw: neither pair is
//            complementary; the first two bytes are given as the address and the last two as the
//            command, low byte first.
// Check      the complements. A train with a 33rd bit is refused [Nec95, p. 5]. A pair of address
//            bytes that is no complement is read as extended when the command's is; a command pair
//            that is no complement beside an address pair that is one is a damaged frame.
// Repeats    every 108 ms from start to start, as repeat frames or as whole frames.
// Tolerance  the unit is taken from the header, whose sum must be within 10 % of 13500, of 11250
//            in a repeat frame (clocks are within 5 %); bits as in pulse_distance.h.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// For trains that begin with a mark of 7 ms and more and hold more than 35 pulses.
extern const PulseShape kNecShape;
// For such of 3 pulses.
extern const PulseShape kNecRepeatShape;

}  // namespace robot
}  // namespace runtrue
