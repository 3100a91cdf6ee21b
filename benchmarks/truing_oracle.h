// What nobody at a bench can be: an estimator that knows the population the robot was drawn from,
// this robot's own scatter, the person's errors, and which runs were spoilt. The race measures ours
// against it.
#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include "drive/pose.h"
#include "link/bench_person.h"
#include "link/virtual_robot.h"
#include "truing/internal/straights.h"

namespace runtrue {

// Standard deviation of the mismatch at trim 0 over a population, counted over 2,000 robots.
inline double mismatch_sd_of(const Population& population, Rng& rng) {
  constexpr int kRobots = 2000;
  double squares = 0.0;
  for (int i = 0; i < kRobots; ++i) {
    const VirtualRobot robot = draw_virtual_robot(rng, {.population = population});
    const double m = robot.true_curvature(robot.robot().level_usual, Trim{0}).per_mm() *
                     robot.robot().track_width.mm();
    squares += m * m / kRobots;
  }
  return std::sqrt(squares);
}

class Oracle {
 public:
  Oracle(const VirtualRobot& robot, const BenchPerson& person, double mismatch_sd)
      : robot_(robot), mismatch_variance_(mismatch_sd * mismatch_sd) {
    const double aim = person.aim_sd_deg * std::numbers::pi / 180.0;
    errors_.tape_sd_mm = std::hypot(person.tape_sd_mm, 1.0 / std::sqrt(12.0));  // rounded to 1 mm
    errors_.placing_sd_mm = person.placed_sideways_sd_mm;
    errors_.aim_sd_rad = std::hypot(aim, robot.truth().chance.kick_sd_rad);
    errors_.hard_bend_ratio = 0.01;  // trim is not quite linear in this physics
  }

  // The trim with the least expected drift by the good runs among these.
  [[nodiscard]] Trim best_trim(const std::vector<NotedRun>& noted) const {
    std::vector<Run> good;
    for (const NotedRun& n : noted) {
      if (n.blunder == Blunder::kNone) good.push_back(n.run);
    }
    const auto seen = internal::observe(robot_.robot(), good, errors_);
    const Population& p = population_;
    std::vector<Part> parts;
    for (const double sign : {-1.0, 1.0}) {
      for (int i = 0; i < kEffects; ++i) {
        const double part = (i + 0.5) / kEffects;
        const double size =
            p.trim_effect_lowest * std::pow(p.trim_effect_highest / p.trim_effect_lowest, part);
        parts.push_back(given_effect(sign * size, seen));
      }
    }
    double best_log = -1e300;
    for (const Part& part : parts) best_log = std::max(best_log, part.log_weight);
    const auto [lowest, highest] = robot_.robot().trim_range;
    Trim best = lowest;
    double least = 1e300;
    for (Trim trim = lowest; trim <= highest; ++trim.value) {
      double size = 0.0;
      for (const Part& part : parts) {
        const double weight = std::exp(part.log_weight - best_log);
        const internal::NormalMixture m(
            {{1.0, part.mismatch + part.effect * trim.value, part.mismatch_sd}});
        if (weight > 1e-4) size += weight * m.mean_size();
      }
      if (size >= least) continue;
      least = size;
      best = trim;
    }
    return best;
  }

 private:
  static constexpr int kEffects = 60;
  struct Part {
    double effect = 0.0, mismatch = 0.0, mismatch_sd = 0.0, log_weight = 0.0;
  };

  // For a known effect of the trim, the mismatch at trim 0 is normal in closed form.
  [[nodiscard]] Part given_effect(double effect,
                                  const std::vector<internal::StraightObservation>& seen) const {
    double mean = 0.0, variance = mismatch_variance_, log_weight = 0.0;
    for (const auto& o : seen) {
      const double own = robot_.truth().chance.curvature_sd_per_mm * o.scatter_factor;
      const double reading = o.noted().variance + own * own;
      const double off = o.noted().mismatch - effect * o.trim.value - mean;
      log_weight -= 0.5 * (off * off / (variance + reading) + std::log(variance + reading));
      const double gain = variance / (variance + reading);
      mean += gain * off;
      variance *= 1.0 - gain;
    }
    return {effect, mean, std::sqrt(variance), log_weight};
  }

  VirtualRobot robot_;
  Population population_;
  internal::StraightPrior errors_;
  double mismatch_variance_;
};

}  // namespace runtrue
