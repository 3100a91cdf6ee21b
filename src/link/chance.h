// Seeded chance for the virtual robot and the bench person: the same seed gives the same bits
// wherever Boost.Random is used, since nothing here hangs on the standard library's distributions.
#pragma once

#include <boost/random/mersenne_twister.hpp>

namespace runtrue {

using Rng = boost::random::mt19937_64;

[[nodiscard]] double normal(Rng& rng, double mean, double sd);
// Drawn anew until it lies within the limits, which must hold some of the distribution.
[[nodiscard]] double normal_within(Rng& rng, double mean, double sd, double lowest, double highest);
[[nodiscard]] double uniform(Rng& rng, double lowest, double highest);
// Uniform in the logarithm; 0 < lowest <= highest.
[[nodiscard]] double log_uniform(Rng& rng, double lowest, double highest);
[[nodiscard]] bool happens(Rng& rng, double probability);
[[nodiscard]] int whole(Rng& rng, int lowest, int highest);  // both ends included

}  // namespace runtrue
