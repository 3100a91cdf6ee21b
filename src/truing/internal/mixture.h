// A weighted sum of normal distributions of one number: what is known of a curvature when several
// readings of the runs are possible ("all right", "row 4 was to the other side") and the scatter
// itself is uncertain.
#pragma once

#include <vector>

namespace runtrue::internal {

[[nodiscard]] double normal_below(double z);  // P(Z <= z) of a standard normal

class NormalMixture {
 public:
  struct Part {
    double weight = 0.0;  // weights sum to 1
    double mean = 0.0;
    double sd = 0.0;  // > 0
  };

  explicit NormalMixture(std::vector<Part> parts);

  [[nodiscard]] double mean() const;
  [[nodiscard]] double sd() const;
  [[nodiscard]] double mean_size()
      const;  // E|x|, folded normal: s·sqrt(2/π)·exp(−m²/2s²) + m·erf(m/(s√2))
  [[nodiscard]] double below(double x) const;      // P(X <= x)
  [[nodiscard]] double within(double half) const;  // P(−half <= X <= half)
  [[nodiscard]] double quantile(double p) const;   // 0 < p < 1; bisection to 1e-9 sd

 private:
  std::vector<Part> parts_;
};

}  // namespace runtrue::internal
