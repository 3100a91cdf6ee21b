#include "truing/internal/straights.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <utility>

#include "drive/pose.h"

namespace runtrue::internal {
namespace {

// Curvature and aim from one run's marks with the covariance that tape and placing give them.
struct Marks {
  double curvature_per_mm = 0.0;
  double aim_rad = 0.0;
  Eigen::Matrix2d covariance = Eigen::Matrix2d::Zero();  // of (curvature, aim)
  bool two_lines = false;
};

Marks marks_of_two(const Run& run, const StraightPrior& prior) {
  const double x1 = run.half->line.mm(), y1 = run.half->sideways.mm();
  const double x2 = run.end->line.mm(), y2 = run.end->sideways.mm();
  const TwoMarkFit fit = fit_two_marks(x1, y1, x2, y2);
  // d(curvature, aim)/d(y1, y2) by central differences of the exact circle; 0.5 mm is far below any
  // radius.
  constexpr double kStep_mm = 0.5;
  Eigen::Matrix2d slope;
  for (int i = 0; i < 2; ++i) {
    const double d1 = i == 0 ? kStep_mm : 0.0;
    const double d2 = i == 1 ? kStep_mm : 0.0;
    const TwoMarkFit up = fit_two_marks(x1, y1 + d1, x2, y2 + d2);
    const TwoMarkFit down = fit_two_marks(x1, y1 - d1, x2, y2 - d2);
    slope(0, i) = (up.curvature_per_mm - down.curvature_per_mm) / (2.0 * kStep_mm);
    slope(1, i) = (up.aim_rad - down.aim_rad) / (2.0 * kStep_mm);
  }
  const double tape = prior.tape_sd_mm * prior.tape_sd_mm;
  const double placing = prior.placing_sd_mm * prior.placing_sd_mm;
  const Eigen::Matrix2d readings =
      tape * Eigen::Matrix2d::Identity() + placing * Eigen::Matrix2d::Constant(1.0);
  return {fit.curvature_per_mm, fit.aim_rad, slope * readings * slope.transpose(), true};
}

// One line: the aim can't be told from the bend, so its whole prior spread goes into the curvature.
Marks marks_of_one(const LineReading& reading, const StraightPrior& prior) {
  const double x = reading.line.mm(), y = reading.sideways.mm();
  const double curvature = 2.0 * y / (x * x + y * y);
  const double by_sideways =
      2.0 / (x * x + y * y) - 4.0 * y * y / ((x * x + y * y) * (x * x + y * y));
  const double by_aim = 2.0 / std::hypot(x, y);  // turning the chord against the start heading
  const double sideways =
      prior.tape_sd_mm * prior.tape_sd_mm + prior.placing_sd_mm * prior.placing_sd_mm;
  Marks marks{curvature, 0.0, Eigen::Matrix2d::Zero(), false};
  marks.covariance(0, 0) =
      by_sideways * by_sideways * sideways + by_aim * by_aim * prior.aim_sd_rad * prior.aim_sd_rad;
  return marks;
}

// The aim error's own spread: its prior, sharpened by the aims that two-line runs show (four runs'
// worth of prior).
double aim_variance(std::span<const Marks> all, const StraightPrior& prior) {
  constexpr double kPriorRuns = 4.0;
  double sum = kPriorRuns * prior.aim_sd_rad * prior.aim_sd_rad;
  double count = kPriorRuns;
  for (const Marks& marks : all) {
    if (!marks.two_lines) continue;
    // A slip of the pen must not make all aims look wild: no more than three sd from one run.
    const double aim = std::min(std::abs(marks.aim_rad), 3.0 * prior.aim_sd_rad);
    sum += aim * aim;
    count += 1.0;
  }
  return sum / count;
}

}  // namespace

StraightVector design_of(const Robot& robot, Level level, Trim trim) {
  const double usual = robot.level_usual.value;
  const double size = level.value == 0 ? usual : std::abs(level.value);
  const bool reverse = level.value < 0;
  return {reverse ? 0.0 : 1.0, reverse ? 1.0 : 0.0, usual / size - 1.0,
          static_cast<double>(trim.value)};
}

std::vector<StraightObservation> observe(const Robot& robot, std::span<const Run> runs,
                                         const StraightPrior& prior) {
  std::vector<const Run*> used;
  std::vector<Marks> marks;
  for (const Run& run : runs) {
    if (run.kind != RunKind::kStraight || run.left_out || (!run.half && !run.end)) continue;
    const bool two = run.half && run.end;
    used.push_back(&run);
    marks.push_back(two ? marks_of_two(run, prior)
                        : marks_of_one(run.end ? *run.end : *run.half, prior));
  }
  const double aim = aim_variance(marks, prior);
  const double track_mm = robot.track_width.mm();

  std::vector<StraightObservation> observations;
  for (std::size_t i = 0; i < used.size(); ++i) {
    const Marks& m = marks[i];
    StraightObservation seen;
    seen.row = used[i]->row;
    seen.level = used[i]->level;
    seen.trim = used[i]->trim;
    seen.design = design_of(robot, seen.level, seen.trim);
    seen.two_lines = m.two_lines;
    seen.aim_rad = m.aim_rad;
    double curvature = m.curvature_per_mm;
    double variance = m.covariance(0, 0);
    if (seen.two_lines) {
      // An aim error is far likelier small than large: condition the curvature on the aim's own
      // prior.
      const double gain = m.covariance(0, 1) / (m.covariance(1, 1) + aim);
      curvature -= gain * m.aim_rad;
      variance -= gain * m.covariance(0, 1);
    }
    const double model_error = prior.hard_bend_ratio * curvature;
    seen.mismatch = curvature * track_mm;
    seen.variance = (variance + model_error * model_error) * track_mm * track_mm;
    seen.scatter_factor = track_mm;
    observations.push_back(seen);
  }
  return observations;
}

namespace {

// Sums that make the normal posterior for one scatter and one reading of all runs.
struct Sums {
  StraightMatrix precision = StraightMatrix::Zero();
  StraightVector pull = StraightVector::Zero();
  double square = 0.0;    // Σ z²/V
  double log_size = 0.0;  // Σ (log V − 2·log P(reading))

  void add(const StraightObservation& seen, Reading reading, double scatter_per_mm,
           const StraightPrior& prior, double sign) {
    const double own = scatter_per_mm * seen.scatter_factor;
    double variance = seen.variance + own * own;
    double z = seen.mismatch;
    double probability = 1.0 - prior.flipped_probability - prior.bumped_probability;
    if (reading == Reading::kFlipped) {
      z = -z;
      probability = prior.flipped_probability;
    } else if (reading == Reading::kBumped) {
      variance += prior.bumped_sd * prior.bumped_sd;
      probability = prior.bumped_probability;
    }
    precision += (sign / variance) * seen.design * seen.design.transpose();
    pull += (sign * z / variance) * seen.design;
    square += sign * z * z / variance;
    log_size += sign * (std::log(variance) - 2.0 * std::log(probability));
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
constexpr double kScatterReach = 2.4;  // grid from −2.4 to +2.4 sd of the scatter's prior
constexpr double kForgetBelow = 7.0;   // readings e^-7 less likely than the best are dropped
constexpr std::size_t kMostReadings = 12;
constexpr int kMostBlunders = 6;

// All that is the same for every reading of the runs.
class Search {
 public:
  Search(const Robot& robot, std::span<const StraightObservation> seen, const StraightPrior& prior)
      : seen_(seen), prior_(prior) {
    const double half_range =
        (robot.trim_range.highest.value - robot.trim_range.lowest.value) / 2.0;
    StraightMatrix covariance = StraightMatrix::Zero();
    const double m0 = prior.mismatch_sd * prior.mismatch_sd;
    const double reverse = prior.reverse_difference_sd * prior.reverse_difference_sd;
    covariance.topLeftCorner<2, 2>() << m0, m0, m0, m0 + reverse;
    covariance(2, 2) = prior.by_level_sd * prior.by_level_sd;
    const double k = prior.trim_effect_sd.value_or(prior.trim_reach_sd / half_range);
    covariance(3, 3) = k * k;
    const StraightVector mean{prior.mismatch_mean, prior.mismatch_mean, 0.0,
                              prior.trim_effect_mean.value_or(0.0)};
    base_.precision = covariance.inverse();
    base_.pull = base_.precision * mean;
    base_.square = mean.dot(base_.pull);
    for (int i = 0; i < kScatters; ++i) {
      const double z = kScatterReach * (2.0 * i / (kScatters - 1) - 1.0);
      const double drift = prior.scatter_drift_mm_per_m * std::exp(z * prior.scatter_log_sd);
      scatters_[static_cast<std::size_t>(i)] = curvature_of_drift(drift).per_mm();
      log_prior_[static_cast<std::size_t>(i)] = -0.5 * z * z;
    }
  }

  struct Candidate {
    std::vector<Reading> readings;
    std::array<Sums, kScatters> sums;
    std::array<double, kScatters> log_weight{};
    double log_total = 0.0;
    StraightVector mean = StraightVector::Zero();  // at the likeliest scatter
    double scatter_per_mm = 0.0;
  };

  [[nodiscard]] Candidate as_noted() const {
    Candidate c;
    c.readings.assign(seen_.size(), Reading::kAsNoted);
    for (std::size_t s = 0; s < kScatters; ++s) {
      c.sums[s] = base_;
      for (const StraightObservation& o : seen_)
        c.sums[s].add(o, Reading::kAsNoted, scatters_[s], prior_, 1.0);
    }
    weigh(c);
    return c;
  }

  [[nodiscard]] Candidate with(const Candidate& from, std::size_t i, Reading reading) const {
    Candidate c = from;
    c.readings[i] = reading;
    for (std::size_t s = 0; s < kScatters; ++s) {
      c.sums[s].add(seen_[i], from.readings[i], scatters_[s], prior_, -1.0);
      c.sums[s].add(seen_[i], reading, scatters_[s], prior_, 1.0);
    }
    weigh(c);
    return c;
  }

  // Observations that fit a candidate badly enough to be read otherwise.
  [[nodiscard]] bool doubtful(const Candidate& c, std::size_t i) const {
    constexpr double kFarEnough =
        1.5;  // sd; a run nearer than this gains nothing by another reading
    const double own = c.scatter_per_mm * seen_[i].scatter_factor;
    const double rest = seen_[i].mismatch - seen_[i].design.dot(c.mean);
    return rest * rest > kFarEnough * kFarEnough * (seen_[i].variance + own * own) ||
           seen_.size() <= 5;
  }

  [[nodiscard]] double scatter(std::size_t s) const { return scatters_[s]; }

 private:
  void weigh(Candidate& c) const {
    double best = -1e300;
    for (std::size_t s = 0; s < kScatters; ++s) {
      const Solved solved = solve(c.sums[s]);
      c.log_weight[s] = log_prior_[s] + solved.log_evidence;
      if (c.log_weight[s] > best) {
        best = c.log_weight[s];
        c.mean = solved.mean;
        c.scatter_per_mm = scatters_[s];
      }
    }
    double sum = 0.0;
    for (const double w : c.log_weight) sum += std::exp(w - best);
    c.log_total = best + std::log(sum);
  }

  std::span<const StraightObservation> seen_;
  const StraightPrior& prior_;
  Sums base_;
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
        for (const Reading reading : {Reading::kFlipped, Reading::kBumped}) {
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
  for (const auto& c : candidates)
    best = std::max(best, *std::max_element(c.log_weight.begin(), c.log_weight.end()));
  double total = 0.0;
  for (const auto& c : candidates) {
    for (std::size_t s = 0; s < kScatters; ++s) {
      if (c.log_weight[s] < best - kForgetBelow) continue;
      const Solved solved = solve(c.sums[s]);
      const double weight = std::exp(c.log_weight[s] - best);
      total += weight;
      parts_.push_back({weight, solved.mean, solved.precision.solve(StraightMatrix::Identity()),
                        search.scatter(s), c.readings});
    }
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
