// Plain words made from a truing's numbers: what is so and what to do next, for page, terminal and
// paper.
#pragma once

#include <string>

#include "truing/truing.h"

namespace runtrue {

// "34 mm to the right", "straight" under half a millimetre.
[[nodiscard]] std::string sideways_words(double mm);

// A drift with its interval: "34 mm to the left in a metre, give or take 6", "straight, give or
// take 6 mm in a metre".
[[nodiscard]] std::string drift_words(const Estimate& mm_per_m);

// "Set the trim to -4 and run it straight at level 128; read the tape at 1000 and 2000 mm."
[[nodiscard]] std::string next_run_words(const NextRun& next);

// One or two short sentences: "Dunlin bends about 34 mm to the right in a metre at its best trim so
// far. Set the trim to -4 and ...". Never blames, never says more than is known.
[[nodiscard]] std::string sentence_of(const Robot& robot, const Truing& truing);

}  // namespace runtrue
