#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <optional>

#include "drive/pose.h"
#include "truing/internal/straights.h"

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
  StraightVector design;
  design << (reverse ? 0.0 : 1.0), (reverse ? 1.0 : 0.0), usual / size - 1.0,
      static_cast<double>(trim.value), 0.0;
  return design;
}

namespace {

// The run's marks to the other side where `half` or `end` says so.
Run flipped(Run run, bool half, bool end) {
  if (half && run.half) run.half->sideways = -run.half->sideways;
  if (end && run.end) run.end->sideways = -run.end->sideways;
  return run;
}

Marks marks_of(const Run& run, const StraightPrior& prior) {
  return run.half && run.end ? marks_of_two(run, prior)
                             : marks_of_one(run.end ? *run.end : *run.half, prior);
}

double log_normal_density(double x, double variance) {
  return -0.5 * (x * x / variance + std::log(variance));
}

ReadAs read_as(const Marks& m, double track_mm, double aim_variance, const StraightPrior& prior) {
  ReadAs answer;
  answer.possible = true;
  double curvature = m.curvature_per_mm;
  double variance = m.covariance(0, 0);
  if (m.two_lines) {
    // An aim error is far likelier small than large: condition the curvature on the aim's own
    // prior.
    const double seen = m.covariance(1, 1) + aim_variance;
    const double gain = m.covariance(0, 1) / seen;
    curvature -= gain * m.aim_rad;
    variance -= gain * m.covariance(0, 1);
    answer.log_weight = log_normal_density(m.aim_rad, seen);
  }
  const double model_error = prior.hard_bend_ratio * curvature;
  answer.mismatch = curvature * track_mm;
  answer.variance = (variance + model_error * model_error) * track_mm * track_mm;
  return answer;
}

// A mark so near the middle that its side tells nothing is never taken for a slip.
bool has_a_side(const std::optional<LineReading>& reading, const StraightPrior& prior) {
  return reading && std::abs(reading->sideways.mm()) > 2.0 * prior.tape_sd_mm;
}

void read_all_ways(StraightObservation& seen, const Run& run, double aim,
                   const StraightPrior& prior) {
  const double track_mm = seen.scatter_factor;
  const auto put = [&](Reading reading, const ReadAs& way, double probability) {
    ReadAs& at = seen.as[static_cast<std::size_t>(reading)];
    at = way;
    at.log_weight += std::log(probability);
  };
  const auto flip = [&](Reading reading, bool half, bool end, double probability) {
    put(reading, read_as(marks_of(flipped(run, half, end), prior), track_mm, aim, prior),
        probability);
  };
  const Marks marks = marks_of(run, prior);
  put(Reading::kAsNoted, read_as(marks, track_mm, aim, prior),
      1.0 - prior.flipped_probability - prior.bumped_probability);
  const bool half = has_a_side(run.half, prior), end = has_a_side(run.end, prior);
  if (seen.two_lines) {
    if (half) flip(Reading::kHalfFlipped, true, false, prior.flipped_probability / 3.0);
    if (end) flip(Reading::kEndFlipped, false, true, prior.flipped_probability / 3.0);
    if (half && end) flip(Reading::kFlipped, true, true, prior.flipped_probability / 3.0);
  } else if (half || end) {
    flip(Reading::kFlipped, true, true, prior.flipped_probability);
  }
  ReadAs bumped =
      read_as(marks, track_mm, aim + prior.bumped_aim_rad * prior.bumped_aim_rad, prior);
  bumped.variance += prior.bumped_sd * prior.bumped_sd;
  put(Reading::kBumped, bumped, prior.bumped_probability);
}

}  // namespace

std::vector<StraightObservation> observe(const Robot& robot, std::span<const Run> runs,
                                         const StraightPrior& prior) {
  std::vector<const Run*> used;
  std::vector<Marks> marks;
  for (const Run& run : runs) {
    if (run.kind != RunKind::kStraight || run.left_out || (!run.half && !run.end)) continue;
    used.push_back(&run);
    marks.push_back(marks_of(run, prior));
  }
  const double aim = aim_variance(marks, prior);

  std::vector<StraightObservation> observations;
  for (std::size_t i = 0; i < used.size(); ++i) {
    StraightObservation seen;
    seen.row = used[i]->row;
    seen.level = used[i]->level;
    seen.trim = used[i]->trim;
    seen.battery_v = used[i]->battery_v;
    seen.design = design_of(robot, seen.level, seen.trim);
    seen.design[kStraightConstants] = used[i]->surface == used.back()->surface ? 0.0 : 1.0;
    seen.two_lines = marks[i].two_lines;
    seen.aim_rad = marks[i].aim_rad;
    seen.scatter_factor = robot.track_width.mm();
    read_all_ways(seen, *used[i], aim, prior);
    observations.push_back(seen);
  }
  return observations;
}

}  // namespace runtrue::internal
