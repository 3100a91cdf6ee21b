#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <vector>

#include "drive/pose.h"
#include "truing/internal/advice.h"
#include "truing/internal/mixture.h"

namespace runtrue::internal {
namespace {

// Standard normal quantiles in the middle of 15 equally likely slices.
constexpr std::array<double, 15> kLikely{-1.833914636, -1.281551566, -0.967421566, -0.727913291,
                                         -0.524400513, -0.340694827, -0.167894005, 0.0,
                                         0.167894005,  0.340694827,  0.524400513,  0.727913291,
                                         0.967421566,  1.281551566,  1.833914636};

// What is known, told apart by the kind of trim: within each a normal, matched in mean and
// covariance. For every trim of the range the mismatch's mean and variance.
struct Side {
  double weight = 0.0;
  StraightVector mean = StraightVector::Zero();
  StraightMatrix covariance = StraightMatrix::Zero();
  std::vector<double> means, variances;
};

std::vector<Side> sides_of(const StraightPosterior& posterior,
                           const std::vector<StraightVector>& designs) {
  constexpr double kTooLight = 0.1;  // kinds of trim less likely than this don't steer the next run
  std::map<std::size_t, Side> kinds;
  for (const auto& p : posterior.parts()) {
    Side& side = kinds[p.effect];
    side.weight += p.weight;
    side.mean += p.weight * p.mean;
    side.covariance += p.weight * (p.covariance + p.mean * p.mean.transpose());
  }
  std::vector<Side> sides;
  for (auto& [kind, side] : kinds) {
    if (side.weight < kTooLight) continue;
    side.mean /= side.weight;
    side.covariance = side.covariance / side.weight - side.mean * side.mean.transpose();
    for (const StraightVector& design : designs) {
      side.means.push_back(design.dot(side.mean));
      side.variances.push_back(design.dot(side.covariance * design));
    }
    sides.push_back(std::move(side));
  }
  return sides;
}

// What a run at one trim would leave, averaged over what it may read.
class Outlook {
 public:
  Outlook(std::vector<Side> sides, std::size_t trims, double half, double confidence)
      : sides_(std::move(sides)), trims_(trims), half_(half), confidence_(confidence) {
    for (std::size_t i = 0; i < sides_.size(); ++i) {
      after_variances_.emplace_back(trims);
      gains_.emplace_back(trims);
    }
  }

  [[nodiscard]] const std::vector<Side>& sides() const { return sides_; }

  // `reading`: variance of the mismatch that the run tells, for each side.
  [[nodiscard]] double value_of(std::size_t c, const std::vector<StraightVector>& designs,
                                std::span<const double> reading) {
    std::vector<double> seen(sides_.size());
    for (std::size_t b = 0; b < sides_.size(); ++b) {
      const Side& side = sides_[b];
      const StraightVector shared = side.covariance * designs[c];
      seen[b] = side.variances[c] + reading[b];
      for (std::size_t i = 0; i < trims_; ++i) {
        gains_[b][i] = designs[i].dot(shared) / seen[b];
        after_variances_[b][i] = side.variances[i] - gains_[b][i] * gains_[b][i] * seen[b];
      }
    }
    double value = 0.0;
    for (std::size_t a = 0; a < sides_.size(); ++a) {
      for (const double z : kLikely) {
        value += sides_[a].weight / kLikely.size() *
                 value_after(c, sides_[a].means[c] + z * std::sqrt(seen[a]), seen);
      }
    }
    return value;
  }

 private:
  [[nodiscard]] double value_after(std::size_t c, double read, std::span<const double> seen) const {
    std::vector<double> weights(sides_.size());
    double total = 0.0;
    for (std::size_t b = 0; b < sides_.size(); ++b) {
      const double off = read - sides_[b].means[c];
      weights[b] = sides_[b].weight * std::exp(-0.5 * off * off / seen[b]) / std::sqrt(seen[b]);
      total += weights[b];
    }
    double least = 1e300;
    std::size_t best = 0;
    for (std::size_t i = 0; i < trims_; ++i) {
      double square = 0.0;
      for (std::size_t b = 0; b < sides_.size(); ++b) {
        const double m = sides_[b].means[i] + gains_[b][i] * (read - sides_[b].means[c]);
        square += weights[b] * (m * m + after_variances_[b][i]);
      }
      if (square < least) {
        least = square;
        best = i;
      }
    }
    double within = 0.0;
    for (std::size_t b = 0; b < sides_.size(); ++b) {
      const double m = sides_[b].means[best] + gains_[b][best] * (read - sides_[b].means[c]);
      const double sd = std::sqrt(std::max(after_variances_[b][best], 1e-18));
      within +=
          weights[b] / total * (normal_below((half_ - m) / sd) - normal_below((-half_ - m) / sd));
    }
    // The likelier the next run ends it, the fewer runs it takes; the spread breaks the tie while
    // no single run could. Weights of 0 to 2 and of 0 to 0.1 race alike.
    constexpr double kSureWeight = 0.5, kSpreadWeight = 0.05;
    return within + (within >= confidence_ ? kSureWeight : 0.0) -
           kSpreadWeight * std::sqrt(least / total) / half_;
  }

  std::vector<Side> sides_;
  std::size_t trims_;
  double half_, confidence_;
  std::vector<std::vector<double>> after_variances_, gains_;
};

}  // namespace

Lines lines_for(const TruingOptions& options) {
  const double end =
      std::floor(options.longest_line.mm() / 50.0) * 50.0;  // a round number to lay a tape to
  return {std::floor(end / 2.0 / 50.0) * 50.0, end};
}

double reading_variance(double curvature_per_mm, const Lines& lines, double track_mm,
                        double scatter_per_mm, const StraightPrior& prior) {
  constexpr double kStripHalf_mm =
      400.0;  // of floor either side that a tape is laid across; arbitrary
  const double model = prior.hard_bend_ratio * curvature_per_mm;
  double variance = scatter_per_mm * scatter_per_mm + model * model;
  const double leaves = std::sqrt(2.0 * kStripHalf_mm / std::max(std::abs(curvature_per_mm), 1e-9));
  const double x1 = lines.half_mm, x2 = std::min(lines.end_mm, leaves);
  if (x2 > 1.1 * x1) {
    const double tape = 2.0 * prior.tape_sd_mm * std::hypot(x1, x2) / (x1 * x2 * (x2 - x1));
    const double placing = 2.0 * prior.placing_sd_mm / (x1 * x2);
    variance += tape * tape + placing * placing;
  } else {
    const double aim = 2.0 * prior.aim_sd_rad / x2;
    variance += aim * aim;
  }
  return variance * track_mm * track_mm;
}

NextRun next_straight(const Robot& robot, const StraightPosterior& posterior,
                      std::span<const StraightObservation> observations,
                      const TruingOptions& options, const StraightPrior& prior) {
  const Lines lines = lines_for(options);
  NextRun next;
  next.level = robot.level_usual;
  next.half_line = Length::from_mm(lines.half_mm);
  next.line = Length::from_mm(lines.end_mm);
  next.trim = best_trim_of(posterior, robot);
  if (observations.empty()) return next;

  const int lowest = robot.trim_range.lowest.value, highest = robot.trim_range.highest.value;
  std::vector<StraightVector> designs;
  for (int t = lowest; t <= highest; ++t) {
    designs.push_back(design_of(robot, robot.level_usual, Trim{t}));
  }
  const double track = robot.track_width.mm();
  const double scatter = posterior.scatter_per_mm();
  Outlook outlook(sides_of(posterior, designs), designs.size(),
                  curvature_of_drift(options.tolerance_mm_per_m).per_mm() * track,
                  options.confidence);
  // Turning the screw to a trim that will not be the last takes part of a run's time.
  constexpr double kScrew = 0.01;
  const Trim current = observations.back().trim;
  const Trim best_now = next.trim;
  double most = -1e300;
  std::vector<double> reading(outlook.sides().size());
  for (std::size_t c = 0; c < designs.size(); ++c) {
    const Trim trim{lowest + static_cast<int>(c)};
    for (std::size_t b = 0; b < reading.size(); ++b) {
      const Side& side = outlook.sides()[b];
      const double bend = std::hypot(side.means[c], std::sqrt(side.variances[c])) / track;
      reading[b] = reading_variance(bend, lines, track, scatter, prior);
    }
    double value = outlook.value_of(c, designs, reading);
    if (trim != current && trim != best_now) value -= kScrew;
    const bool nearer =
        std::abs(trim.value - best_now.value) < std::abs(next.trim.value - best_now.value);
    if (value > most + 1e-9 || (value > most - 1e-9 && nearer)) {
      most = std::max(value, most);
      next.trim = trim;
    }
  }
  return next;
}

}  // namespace runtrue::internal
