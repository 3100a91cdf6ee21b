#include "forecast/internal/interval.h"

#include <boost/math/special_functions/beta.hpp>

namespace runtrue::internal {

Probability probability_of(int events, int tries) {
  RUNTRUE_CHECK(tries >= 1 && events >= 0 && events <= tries);
  constexpr double kBeyond = 0.025;
  const double k = events, n = tries;
  Probability p;
  p.mean = k / n;
  p.low = events == 0 ? 0.0 : boost::math::ibeta_inv(k, n - k + 1.0, kBeyond);
  p.high = events == tries ? 1.0 : boost::math::ibetac_inv(k + 1.0, n - k, kBeyond);
  return p;
}

}  // namespace runtrue::internal
