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
#include "truing/run.h"

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
    tape_mm_ = std::hypot(person.tape_sd_mm, 1.0 / std::sqrt(12.0));  // rounded to 1 mm
    placing_mm_ = person.placed_sideways_sd_mm;
    aim_rad_ = std::hypot(aim, robot.truth().chance.kick_sd_rad);
  }

  // The trim with the least expected drift by the good runs among these.
  [[nodiscard]] Trim best_trim(const std::vector<NotedRun>& noted) const {
    std::vector<Seen> seen;
    for (const NotedRun& n : noted) {
      if (n.blunder == Blunder::kNone) seen.push_back(seen_in(n.run));
    }
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
        if (weight > 1e-4) {
          size += weight * mean_size(part.mismatch + part.effect * trim.value, part.mismatch_sd);
        }
      }
      if (size >= least) continue;
      least = size;
      best = trim;
    }
    return best;
  }

 private:
  static constexpr int kEffects = 60;
  struct Seen {
    int trim = 0;
    double mismatch = 0.0, variance = 0.0;
  };
  struct Part {
    double effect = 0.0, mismatch = 0.0, mismatch_sd = 0.0, log_weight = 0.0;
  };

  // E|x| of a normal.
  [[nodiscard]] static double mean_size(double mean, double sd) {
    const double z = mean / sd;
    return sd * std::sqrt(2.0 / std::numbers::pi) * std::exp(-0.5 * z * z) +
           mean * std::erf(z / std::numbers::sqrt2);
  }

  [[nodiscard]] Seen seen_in(const Run& run) const {
    constexpr double kCurvedTrim = 0.01;  // trim is not quite linear in this physics
    const double x2 = run.end->line.mm(), y2 = run.end->sideways.mm();
    double curvature = 2.0 * y2 / (x2 * x2 + y2 * y2);
    double sd = 2.0 * aim_rad_ / x2;
    if (run.half) {
      const double x1 = run.half->line.mm();
      curvature = fit_two_marks(x1, run.half->sideways.mm(), x2, y2).curvature_per_mm;
      sd = std::hypot(2.0 * tape_mm_ * std::hypot(x1, x2) / (x1 * x2 * (x2 - x1)),
                      2.0 * placing_mm_ / (x1 * x2));
    }
    const double track = robot_.robot().track_width.mm();
    const double own = robot_.truth().chance.curvature_sd_per_mm;
    sd = std::hypot(std::hypot(sd, own), kCurvedTrim * curvature);
    return {run.trim.value, curvature * track, sd * sd * track * track};
  }

  // For a known effect of the trim, the mismatch at trim 0 is normal in closed form.
  [[nodiscard]] Part given_effect(double effect, const std::vector<Seen>& seen) const {
    double mean = 0.0, variance = mismatch_variance_, log_weight = 0.0;
    for (const Seen& o : seen) {
      const double off = o.mismatch - effect * o.trim - mean;
      const double all = variance + o.variance;
      log_weight -= 0.5 * (off * off / all + std::log(all));
      const double gain = variance / all;
      mean += gain * off;
      variance *= 1.0 - gain;
    }
    return {effect, mean, std::sqrt(variance), log_weight};
  }

  VirtualRobot robot_;
  Population population_;
  double mismatch_variance_;
  double tape_mm_ = 0.0, placing_mm_ = 0.0, aim_rad_ = 0.0;
};

}  // namespace runtrue
