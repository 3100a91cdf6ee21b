// What the trued robots of a set tell about the next one: robots of one kit are alike, so two runs
// may do where a stranger needs four.
//
// The next robot's constant is taken as normal about the mean of the others. Its variance is their
// spread, less what their own uncertainty makes of it, drawn towards a wide guess that weighs half
// a robot (three robots may be alike by luck), times 1 + 1/n for the uncertain mean. With three
// robots that is about as wide as Student's t for as many; with thirty it is their spread.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "truing/truing.h"

namespace runtrue {

// From the truings of other robots of the same kind, each made without a set's prior; those not
// within tolerance are passed over. Nothing with fewer than three.
[[nodiscard]] std::optional<SetPrior> set_prior(std::span<const Truing> others);

// "Robots of this set usually need a trim from -9 to 6 (by 5 of them)."
[[nodiscard]] std::string set_words(const SetPrior& prior);

}  // namespace runtrue
