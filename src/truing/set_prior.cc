#include "truing/set_prior.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace runtrue {
namespace {

struct Known {
  double mean = 0.0, variance = 0.0;
};

struct Spread {
  double mean = 0.0, sd = 0.0;  // of the next robot's
};

constexpr double kGuessWeight = 0.5;  // robots
// A robot's scatter is given as the root of a mean square; uncertain by 0.45 in its logarithm, it
// lies above its own median by exp(0.45²).
constexpr double kRootOverMedian = 0.2;

Spread next_of(const std::vector<Known>& known, double guessed_sd) {
  const double n = static_cast<double>(known.size());
  double mean = 0.0, own = 0.0;
  for (const Known& k : known) {
    mean += k.mean / n;
    own += k.variance / n;
  }
  double squares = 0.0;
  for (const Known& k : known) squares += (k.mean - mean) * (k.mean - mean);
  squares = std::max(squares - (n - 1.0) * own, 0.0);
  const double variance =
      (kGuessWeight * guessed_sd * guessed_sd + squares) / (kGuessWeight + n - 1.0);
  return {mean, std::sqrt(variance * (1.0 + 1.0 / n))};
}

}  // namespace

std::optional<SetPrior> set_prior(std::span<const Truing> others) {
  std::vector<Known> mismatches, effects, scatters, trims;
  Trim lowest{-1000000}, highest{1000000};
  for (const Truing& t : others) {
    if (t.verdict != Verdict::kInTolerance || t.run_drifts.empty()) continue;
    const auto known = [&](Constant c) {
      return Known{t.settings.of(c), t.settings.variance(c, c)};
    };
    mismatches.push_back(known(Constant::kMismatchForward));
    effects.push_back(known(Constant::kTrimEffect));
    scatters.push_back({std::log(t.settings.scatter.curvature_per_mm) - kRootOverMedian, 0.0});
    trims.push_back({static_cast<double>(t.best_trim.value), 0.0});
    lowest = std::max(lowest, t.curve.front().trim);
    highest = std::min(highest, t.curve.back().trim);
  }
  constexpr std::size_t kEnough = 3;
  if (mismatches.size() < kEnough) return std::nullopt;
  SetPrior prior;
  prior.robots = static_cast<int>(mismatches.size());
  // The guesses are the spreads assumed of any robot: straights.h has their sources.
  const Spread mismatch = next_of(mismatches, 0.08);
  prior.mismatch_mean = mismatch.mean;
  prior.mismatch_sd = mismatch.sd;
  const Spread effect = next_of(effects, 0.0025);
  prior.trim_effect_mean = effect.mean;
  prior.trim_effect_sd = effect.sd;
  const Spread scatter = next_of(scatters, 0.55);
  prior.scatter_drift_mm_per_m = drift_mm_per_m(Curvature::from_per_mm(std::exp(scatter.mean)));
  prior.scatter_log_sd = std::clamp(scatter.sd, 0.4, 0.6);
  const Spread trim = next_of(trims, 8.0);
  const int reach = static_cast<int>(std::ceil(2.0 * trim.sd));
  const int middle = static_cast<int>(std::lround(trim.mean));
  prior.usual_lowest = std::max(lowest, Trim{middle - reach});
  prior.usual_highest = std::min(highest, Trim{middle + reach});
  return prior;
}

std::string set_words(const SetPrior& prior) {
  return fmt::format("Robots of this set usually need a trim from {} to {} (by {} of them).",
                     prior.usual_lowest.value, prior.usual_highest.value, prior.robots);
}

}  // namespace runtrue
