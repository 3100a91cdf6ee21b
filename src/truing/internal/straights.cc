#include "truing/internal/straights.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "drive/pose.h"

namespace runtrue::internal {
namespace {

// Sums that make the normal posterior for one scatter and one reading of all runs.
struct Sums {
  StraightMatrix precision = StraightMatrix::Zero();
  StraightVector pull = StraightVector::Zero();
  double square = 0.0;    // Σ z²/V
  double log_size = 0.0;  // Σ (log V − 2·log weight of the reading)

  void add(const StraightObservation& seen, Reading reading, double scatter_per_mm, double sign) {
    const ReadAs& as = seen.read(reading);
    const double own = scatter_per_mm * seen.scatter_factor;
    const double variance = as.variance + own * own;
    precision += (sign / variance) * seen.design * seen.design.transpose();
    pull += (sign * as.mismatch / variance) * seen.design;
    square += sign * as.mismatch * as.mismatch / variance;
    log_size += sign * (std::log(variance) - 2.0 * as.log_weight);
  }
  void add(const Sums& other) {
    precision += other.precision;
    pull += other.pull;
    square += other.square;
    log_size += other.log_size;
  }
};

struct Solved {
  double log_evidence = 0.0;
  StraightVector mean;
  Eigen::LLT<StraightMatrix> precision;
};

Solved solve(const Sums& sums) {
  Solved solved;
  solved.precision.compute(sums.precision);
  solved.mean = solved.precision.solve(sums.pull);
  const double log_det =
      2.0 * solved.precision.matrixL().toDenseMatrix().diagonal().array().log().sum();
  solved.log_evidence = -0.5 * (log_det + sums.log_size + sums.square - sums.pull.dot(solved.mean));
  return solved;
}

constexpr int kScatters = 9;
// The grid in sd of the scatter's prior; further up than down, so that a loose wheel is seen.
constexpr double kScatterLow = -2.2, kScatterHigh = 4.2;
constexpr double kForgetBelow = 7.0;  // readings e^-7 less likely than the best are dropped
constexpr std::size_t kMostReadings = 12;
constexpr int kMostBlunders = 6;

// All that is the same for every reading of the runs.
class Search {
 public:
  Search(const Robot& robot, std::span<const StraightObservation> seen, const StraightPrior& prior)
      : seen_(seen) {
    const double half_range =
        (robot.trim_range.highest.value - robot.trim_range.lowest.value) / 2.0;
    StraightMatrix covariance = StraightMatrix::Zero();
    const double m0 = prior.mismatch_sd * prior.mismatch_sd;
    const double reverse = prior.reverse_difference_sd * prior.reverse_difference_sd;
    covariance.topLeftCorner<2, 2>() << m0, m0, m0, m0 + reverse;
    covariance(2, 2) = prior.by_level_sd * prior.by_level_sd;
    covariance(4, 4) = prior.by_floor_sd * prior.by_floor_sd;
    // The trim's effect by the set's other robots, else of either sign: most are about as strong as
    // their range asks for, a few are far coarser.
    struct Effect {
      double weight, mean, sd;
    };
    std::vector<Effect> effects;
    if (prior.trim_effect_mean) {
      effects.push_back({1.0, *prior.trim_effect_mean, prior.trim_effect_sd.value_or(0.0)});
    } else {
      for (const double sign : {1.0, -1.0}) {
        const double usual = (1.0 - prior.coarse_probability) / 2.0;
        effects.push_back({usual, sign * prior.trim_reach_mean, prior.trim_reach_sd});
        effects.push_back({prior.coarse_probability / 2.0, sign * prior.coarse_reach_mean,
                           prior.coarse_reach_sd});
      }
      for (Effect& effect : effects) {
        effect.mean /= half_range;
        effect.sd /= half_range;
      }
    }
    for (const Effect& effect : effects) {
      covariance(3, 3) = effect.sd * effect.sd;
      StraightVector mean;
      mean << prior.mismatch_mean, prior.mismatch_mean, 0.0, effect.mean, 0.0;
      Sums base;
      base.precision = covariance.inverse();
      base.pull = base.precision * mean;
      base.square = mean.dot(base.pull);
      base.log_size = std::log(covariance.determinant()) - 2.0 * std::log(effect.weight);
      bases_.push_back(base);
    }
    for (int i = 0; i < kScatters; ++i) {
      const double z = kScatterLow + (kScatterHigh - kScatterLow) * i / (kScatters - 1);
      const double drift = prior.scatter_drift_mm_per_m * std::exp(z * prior.scatter_log_sd);
      scatters_[static_cast<std::size_t>(i)] = curvature_of_drift(drift).per_mm();
      log_prior_[static_cast<std::size_t>(i)] = -0.5 * z * z;
    }
  }

  struct Candidate {
    std::vector<Reading> readings;
    std::array<Sums, kScatters> sums;  // of the runs alone
    double log_total = 0.0;
    StraightVector mean = StraightVector::Zero();  // at the likeliest scatter and sign
    double scatter_per_mm = 0.0;
  };

  [[nodiscard]] Candidate as_noted() const {
    Candidate c;
    c.readings.assign(seen_.size(), Reading::kAsNoted);
    for (std::size_t s = 0; s < kScatters; ++s) {
      for (const StraightObservation& o : seen_)
        c.sums[s].add(o, Reading::kAsNoted, scatters_[s], 1.0);
    }
    weigh(c);
    return c;
  }

  [[nodiscard]] Candidate with(const Candidate& from, std::size_t i, Reading reading) const {
    Candidate c = from;
    c.readings[i] = reading;
    for (std::size_t s = 0; s < kScatters; ++s) {
      c.sums[s].add(seen_[i], from.readings[i], scatters_[s], -1.0);
      c.sums[s].add(seen_[i], reading, scatters_[s], 1.0);
    }
    weigh(c);
    return c;
  }

  // Observations that fit a candidate badly enough to be read otherwise.
  [[nodiscard]] bool doubtful(const Candidate& c, std::size_t i) const {
    constexpr double kFarEnough =
        1.5;  // sd; a run nearer than this gains nothing by another reading
    const double own = c.scatter_per_mm * seen_[i].scatter_factor;
    const ReadAs& noted = seen_[i].noted();
    const double rest = noted.mismatch - seen_[i].design.dot(c.mean);
    return rest * rest > kFarEnough * kFarEnough * (noted.variance + own * own) ||
           seen_.size() <= 5;
  }

  [[nodiscard]] bool possible(std::size_t i, Reading reading) const {
    return seen_[i].read(reading).possible;
  }
  [[nodiscard]] double scatter(std::size_t s) const { return scatters_[s]; }

  // Every normal part of a candidate: visit(log weight, solved, scatter's index, prior's index).
  template <class Visit>
  void for_each(const Candidate& c, Visit visit) const {
    for (std::size_t s = 0; s < kScatters; ++s) {
      for (std::size_t b = 0; b < bases_.size(); ++b) {
        Sums sums = c.sums[s];
        sums.add(bases_[b]);
        const Solved solved = solve(sums);
        visit(log_prior_[s] + solved.log_evidence, solved, s, b);
      }
    }
  }

 private:
  void weigh(Candidate& c) const {
    double best = -1e300;
    std::vector<double> weights;
    for_each(c, [&](double log_weight, const Solved& solved, std::size_t s, std::size_t) {
      weights.push_back(log_weight);
      if (log_weight <= best) return;
      best = log_weight;
      c.mean = solved.mean;
      c.scatter_per_mm = scatters_[s];
    });
    double sum = 0.0;
    for (const double w : weights) sum += std::exp(w - best);
    c.log_total = best + std::log(sum);
  }

  std::span<const StraightObservation> seen_;
  std::vector<Sums> bases_;  // the priors
  std::array<double, kScatters> scatters_{};
  std::array<double, kScatters> log_prior_{};
};

// The likely readings of all runs, the likeliest first: starts with "all as noted", changes one run
// at a time and goes on from what is worth it.
std::vector<Search::Candidate> likely_readings(const Search& search, std::size_t count) {
  std::map<std::vector<Reading>, Search::Candidate> found;
  std::vector<Search::Candidate> frontier{search.as_noted()};
  double best = frontier.front().log_total;
  found.emplace(frontier.front().readings, frontier.front());
  for (int round = 0; round < kMostBlunders && !frontier.empty(); ++round) {
    std::vector<Search::Candidate> next;
    for (const auto& from : frontier) {
      for (std::size_t i = 0; i < count; ++i) {
        if (from.readings[i] != Reading::kAsNoted || !search.doubtful(from, i)) continue;
        for (const Reading reading :
             {Reading::kFlipped, Reading::kHalfFlipped, Reading::kEndFlipped, Reading::kBumped}) {
          if (!search.possible(i, reading)) continue;
          std::vector<Reading> key = from.readings;
          key[i] = reading;
          if (found.contains(key)) continue;
          Search::Candidate c = search.with(from, i, reading);
          if (c.log_total < best - kForgetBelow) continue;
          best = std::max(best, c.log_total);
          found.emplace(std::move(key), c);
          next.push_back(std::move(c));
        }
      }
    }
    std::sort(next.begin(), next.end(),
              [](const auto& a, const auto& b) { return a.log_total > b.log_total; });
    if (next.size() > kMostReadings / 2) next.resize(kMostReadings / 2);
    frontier = std::move(next);
  }
  std::vector<Search::Candidate> all;
  for (auto& [key, c] : found) {
    if (c.log_total >= best - kForgetBelow) all.push_back(std::move(c));
  }
  std::sort(all.begin(), all.end(),
            [](const auto& a, const auto& b) { return a.log_total > b.log_total; });
  if (all.size() > kMostReadings) all.resize(kMostReadings);
  return all;
}

}  // namespace

StraightPosterior::StraightPosterior(const Robot& robot,
                                     std::span<const StraightObservation> observations,
                                     const StraightPrior& prior)
    : track_mm_(robot.track_width.mm()), robot_(robot) {
  const Search search(robot, observations, prior);
  const auto candidates = likely_readings(search, observations.size());
  double best = -1e300;
  for (const auto& c : candidates) {
    search.for_each(c, [&](double log_weight, const Solved&, std::size_t, std::size_t) {
      best = std::max(best, log_weight);
    });
  }
  double total = 0.0;
  for (const auto& c : candidates) {
    search.for_each(c, [&](double log_weight, const Solved& solved, std::size_t s, std::size_t b) {
      if (log_weight < best - kForgetBelow) return;
      const double weight = std::exp(log_weight - best);
      total += weight;
      parts_.push_back({weight, solved.mean, solved.precision.solve(StraightMatrix::Identity()),
                        search.scatter(s), c.readings, b});
    });
  }
  for (Part& part : parts_) part.weight /= total;
}

NormalMixture StraightPosterior::curvature(Level level, Trim trim) const {
  const StraightVector design = design_of(robot_, level, trim) / track_mm_;
  std::vector<NormalMixture::Part> parts;
  parts.reserve(parts_.size());
  for (const Part& p : parts_) {
    parts.push_back({p.weight, design.dot(p.mean), std::sqrt(design.dot(p.covariance * design))});
  }
  return NormalMixture(std::move(parts));
}

NormalMixture StraightPosterior::constant(int index) const {
  std::vector<NormalMixture::Part> parts;
  parts.reserve(parts_.size());
  for (const Part& p : parts_)
    parts.push_back({p.weight, p.mean[index], std::sqrt(p.covariance(index, index))});
  return NormalMixture(std::move(parts));
}

StraightVector StraightPosterior::mean() const {
  StraightVector sum = StraightVector::Zero();
  for (const Part& p : parts_) sum += p.weight * p.mean;
  return sum;
}

StraightMatrix StraightPosterior::covariance() const {
  const StraightVector centre = mean();
  StraightMatrix sum = StraightMatrix::Zero();
  for (const Part& p : parts_) {
    const StraightVector off = p.mean - centre;
    sum += p.weight * (p.covariance + off * off.transpose());
  }
  return sum;
}

double StraightPosterior::scatter_per_mm() const {
  double sum = 0.0;
  for (const Part& p : parts_) sum += p.weight * p.scatter_per_mm * p.scatter_per_mm;
  return std::sqrt(sum);
}

double StraightPosterior::probability(std::size_t observation, Reading reading) const {
  double sum = 0.0;
  for (const Part& p : parts_) sum += p.readings[observation] == reading ? p.weight : 0.0;
  return sum;
}

}  // namespace runtrue::internal
