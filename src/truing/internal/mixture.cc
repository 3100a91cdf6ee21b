#include "truing/internal/mixture.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "units/result.h"

namespace runtrue::internal {
double normal_below(double z) { return 0.5 * std::erfc(-z / std::numbers::sqrt2); }

NormalMixture::NormalMixture(std::vector<Part> parts) : parts_(std::move(parts)) {
  RUNTRUE_CHECK(!parts_.empty());
}

double NormalMixture::mean() const {
  double sum = 0.0;
  for (const Part& p : parts_) sum += p.weight * p.mean;
  return sum;
}

double NormalMixture::sd() const {
  const double centre = mean();
  double sum = 0.0;
  for (const Part& p : parts_)
    sum += p.weight * (p.sd * p.sd + (p.mean - centre) * (p.mean - centre));
  return std::sqrt(sum);
}

double NormalMixture::mean_size() const {
  const double factor = std::sqrt(2.0 / std::numbers::pi);
  double sum = 0.0;
  for (const Part& p : parts_) {
    const double z = p.mean / p.sd;
    sum += p.weight *
           (p.sd * factor * std::exp(-0.5 * z * z) + p.mean * std::erf(z / std::numbers::sqrt2));
  }
  return sum;
}

double NormalMixture::below(double x) const {
  double sum = 0.0;
  for (const Part& p : parts_) sum += p.weight * normal_below((x - p.mean) / p.sd);
  return sum;
}

double NormalMixture::within(double half) const { return below(half) - below(-half); }

double NormalMixture::quantile(double p) const {
  double low = parts_.front().mean;
  double high = low;
  for (const Part& part : parts_) {
    low = std::min(low, part.mean - 9.0 * part.sd);
    high = std::max(high, part.mean + 9.0 * part.sd);
  }
  const double enough = 1e-9 * sd();  // far finer than anything read off a tape
  while (high - low > enough) {
    const double middle = 0.5 * (low + high);
    (below(middle) < p ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

}  // namespace runtrue::internal
