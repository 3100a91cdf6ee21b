// Bits told by how long a pair of pulses lasts: pulse distance and pulse width.
//
// A receiver lengthens or shortens a mark at the cost of the space after it, so only the distance
// from mark to mark (pulse distance) or from the end of a mark to the end of the next (pulse width)
// is the sender's. It lasts 2 units for a 0; for a 1 4 units, or 3 by pulse width, whose bits begin
// with the space and which has no end mark. A distance half-way between is the border, and as far
// on the other side as well. Measured sums of real remotes lie within 6 % of the nominal, clock
// errors within 5 %.
#pragma once

#include "robot/pulse_shape.h"

namespace runtrue {
namespace robot {

// The receiver may make a mark 132 µs shorter or 158 longer at 38 kHz, and near the end of its
// range 250 shorter [Tsop38, fig. 2]; a clock 5 % off adds 30.
constexpr uint16_t kMarkSlack_us = 280;

constexpr uint8_t kByDistance = 4;
constexpr uint8_t kByWidth = 3;

// Fills count and bytes. kBits where the train has another length than the shape, kWidth where a
// mark (by width: a space) or a distance is outside.
Refusal read_distances(const PulseTrain& train, const PulseShape& shape, uint16_t unit_us,
                       Bits& bits, Margin& margin);

}  // namespace robot
}  // namespace runtrue
