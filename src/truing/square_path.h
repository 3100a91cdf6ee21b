// Track width and wheel-diameter ratio of a robot with wheel encoders from the published
// bidirectional square path [Bore96].
//
// Procedure: with the distance scale set by tape first, the robot drives a square of side L several
// times each way round, stopping and turning a quarter on the spot at each corner, and the place it
// comes back to is measured against the place it believes to be at. One way round alone can't tell
// a wrong track width from unequal wheels: the two can cancel.
//
// With α the shortfall of a quarter turn and β the turn over one leg (β > 0: the right wheel is
// larger), to first order
//   clockwise         x = −2L(α + β),  y = −2L(α + β)
//   counter-clockwise x = −2L(α − β),  y = +2L(α − β)
//   track = nominal·90°/(90° − α),  R = (L/2)/sin(β/2),  D_R/D_L = (R + b/2)/(R − b/2).
// The first-order answer errs like (α + β)²: a few percent of the track at 3 % error, with opposite
// signs from x and from y. `fit_square` uses the exact path instead and needs no such average.
//
// What it can't tell: a wrong distance scale looks like a wrong track; slip at the corners looks
// like a wider one.
#pragma once

#include <span>

#include "units/quantity.h"
#include "units/result.h"

namespace runtrue {

enum class WayRound { kClockwise, kCounterClockwise };

// One time round: where it stood minus where it believed to stand, start heading along +x.
struct SquareReturn {
  WayRound way = WayRound::kClockwise;
  Length x, y;
};

struct SquareSetup {
  Length side;           // of the square, 100 mm or more
  Length nominal_track;  // what the robot turned by, 20..1000 mm
};

// What the returns say; factors multiply what the robot believed of each wheel's diameter, their
// mean staying as it was.
struct SquareAnswer {
  Angle corner_shortfall;  // α
  Angle leg_turn;          // β
  Length track;
  double diameter_ratio = 1.0;  // right/left
  double left_factor = 1.0, right_factor = 1.0;
  Length worst_offset;  // the larger distance of the two centres of gravity from the start
};

// First order, from the x errors, the y errors, or the mean of both estimates. Errors (bad input):
// a setup outside its ranges, no return for one way round, an error larger than the side.
enum class SquareAxis { kX, kY, kMean };
[[nodiscard]] Result<SquareAnswer> square_by_formulas(const SquareSetup& setup,
                                                      std::span<const SquareReturn> returns,
                                                      SquareAxis axis);

// The exact path fitted to every return, with what scatter leaves open. Same errors, and a fit that
// does not settle.
struct SquareFit {
  SquareAnswer answer;
  Length track_sd;
  double diameter_ratio_sd = 0.0;
  Length scatter;  // of one return coordinate, one sd; 0 for two returns, which leave nothing to
                   // compare
};
[[nodiscard]] Result<SquareFit> fit_square(const SquareSetup& setup,
                                           std::span<const SquareReturn> returns);

// Where the exact path ends for a robot with that track and wheel ratio which believes in `setup`.
struct SquareEnd {
  Length x, y;
  Angle heading;  // after the fourth turn, less the full round
};
[[nodiscard]] SquareEnd square_end(const SquareSetup& setup, WayRound way, Length track,
                                   double diameter_ratio);

}  // namespace runtrue
