#include "link/chance.h"

#include <boost/random/normal_distribution.hpp>
#include <boost/random/uniform_01.hpp>
#include <boost/random/uniform_int_distribution.hpp>
#include <cmath>

namespace runtrue {

double normal(Rng& rng, double mean, double sd) {
  return mean + sd * boost::random::normal_distribution<double>()(rng);
}

double normal_within(Rng& rng, double mean, double sd, double lowest, double highest) {
  for (;;) {
    const double drawn = normal(rng, mean, sd);
    if (drawn >= lowest && drawn <= highest) return drawn;
  }
}

double uniform(Rng& rng, double lowest, double highest) {
  return lowest + (highest - lowest) * boost::random::uniform_01<double>()(rng);
}

double log_uniform(Rng& rng, double lowest, double highest) {
  return std::exp(uniform(rng, std::log(lowest), std::log(highest)));
}

bool happens(Rng& rng, double probability) { return uniform(rng, 0.0, 1.0) < probability; }

int whole(Rng& rng, int lowest, int highest) {
  return boost::random::uniform_int_distribution<int>(lowest, highest)(rng);
}

}  // namespace runtrue
