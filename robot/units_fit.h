// Widths that are whole numbers of a unit: the unit and the stretch of a frame, from all its
// pulses.
//
// A receiver makes every mark of a frame longer by about the same stretch s and every space shorter
// by it. With marks of a units in all over m marks, lasting M, and spaces of b units over n spaces,
// lasting S: M = a u + m s and S = b u - n s, hence u = (n M + m S)/(n a + m b) and s = (M - a
// u)/m. Which whole numbers the pulses are is told first by the nearest with the nominal unit; the
// fit then makes the widths sharp. The header's mark takes no part: receivers treat long marks
// otherwise.
#pragma once

#include <stdint.h>

#include "robot/pulse_distance.h"

namespace runtrue {
namespace robot {

struct UnitsFit {
  uint16_t unit_us;
  int16_t stretch_us;  // of a mark
};

// A clock up to 8 % off is taken (5 % is asked for, the rest is the error of the estimate); a
// stretch up to 180 (the receiver's limits at 36 kHz are -139 and +167 µs [Tsop38]).
constexpr int16_t kMostStretch_us = 180;

// Fits the pulses from place `first` on. kWidth where a pulse is nearest to 0 or more than 3 units,
// or unit or stretch are outside.
Refusal fit_units(const PulseTrain& train, uint8_t first, uint16_t nominal_us, UnitsFit& fit);

// How many units `width` lasts, its distance from the nearest borders into `margin`; 0 to 7.
uint8_t units_of(uint16_t width, bool mark, const UnitsFit& fit, Margin& margin);

}  // namespace robot
}  // namespace runtrue
