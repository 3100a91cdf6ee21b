// How an unknown remote's trains are made: header, coding, bits.
#pragma once

#include "remote/learning.h"

namespace runtrue {

// Fills `structure` and the keys' `bits` from the keys' trains, which must all tell the same:
// a header is a first mark of more than 1.6 times the others. Where all marks are alike and the
// spaces of two lengths, the coding is pulse distance; where the spaces are alike and the marks of
// two, pulse width; where both are of one and two halves and every bit changes in its middle,
// biphase. A length more than 2.6 times the shortest of its kind is a pause between words.
void tell_structure(LearnedRemote& remote);

}  // namespace runtrue
