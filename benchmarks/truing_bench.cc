// The race: how many straight runs until a robot runs true, on virtual robots with hidden motors,
// and how honest the intervals are. Prints a report; takes the number of robots and the seed. Our
// procedure stands beside the one by eye and beside plain interpolation between two runs.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <optional>
#include <string>
#include <vector>

#include "drive/pose.h"
#include "link/bench_person.h"
#include "link/virtual_robot.h"
#include "truing/set_prior.h"
#include "truing/truing.h"

namespace runtrue {
namespace {

constexpr double kTolerance = 10.0;  // mm per metre
constexpr double kGrace = 3.0;       // of what the best whole trim can reach
constexpr int kMostRuns = 15;

double drift_at(const VirtualRobot& robot, Trim trim) {
  return drift_mm_per_m(robot.true_curvature(robot.robot().level_usual, trim));
}

struct Outcome {
  int runs = 0;
  Trim trim;
  double drift = 0.0;       // true, at the trim it ends with
  double best_drift = 0.0;  // true, at the best whole trim
  std::optional<Verdict> verdict;
  bool covered = false;  // true drift within the stated interval

  [[nodiscard]] bool reachable() const { return std::abs(best_drift) <= kTolerance; }
  [[nodiscard]] bool good() const {
    return std::abs(drift) <= std::max(kTolerance, std::abs(best_drift) + kGrace);
  }
};

Outcome finish(const VirtualRobot& robot, Trim trim, int runs) {
  Outcome o;
  o.runs = runs;
  o.trim = trim;
  o.drift = drift_at(robot, trim);
  o.best_drift = drift_at(robot, robot.true_best_trim(robot.robot().level_usual));
  return o;
}

// `kept`, if given, gets the last truing.
Outcome by_advice(VirtualRobot robot, const BenchPerson& person, Rng& rng,
                  const TruingOptions& options = {}, Truing* kept = nullptr) {
  std::vector<Run> runs;
  Truing truing = *true_robot(robot.robot(), runs, options);
  int row = 1;
  while (truing.verdict == Verdict::kMoreRuns && row <= kMostRuns) {
    const NextRun& next = *truing.next_run;
    auto noted =
        run_two_lines(robot, person, next.level, next.trim, next.half_line, next.line, rng);
    robot.charge();
    ++row;
    if (!noted) continue;
    noted->run.row = row;
    if (!check_run(noted->run, robot.robot())) continue;  // what the tool would have refused
    runs.push_back(noted->run);
    truing = *true_robot(robot.robot(), runs, options);
  }
  Outcome o = finish(robot, truing.best_trim, row - 1);
  o.verdict = truing.verdict;
  o.covered = o.drift >= truing.drift_mm_per_m.low && o.drift <= truing.drift_mm_per_m.high;
  if (kept != nullptr) *kept = *true_robot(robot.robot(), runs, {});
  return o;
}

// By eye: one line at a metre, the trim turned in steps that halve as the side changes, until it
// looks straight.
Outcome by_eye(VirtualRobot robot, const BenchPerson& person, Rng& rng) {
  int trim = 0, step = 8, direction = 1;
  double last = 0.0;
  int runs = 0;
  for (; runs < kMostRuns; ++runs) {
    const auto noted =
        run_one_line(robot, person, robot.robot().level_usual, Trim{trim}, Length::from_m(1), rng);
    robot.charge();
    if (!noted || !noted->run.end) continue;
    const double seen = noted->run.end->sideways.mm() / noted->run.end->line.m();
    if (std::abs(seen) <= 15.0) return finish(robot, Trim{trim}, runs + 1);
    if (last != 0.0 && std::abs(seen) > std::abs(last) && seen * last > 0.0) direction = -direction;
    if (last != 0.0 && seen * last < 0.0) {
      direction = -direction;
      step = std::max(step / 2, 1);
    }
    last = seen;
    trim = std::clamp(trim + direction * step, -30, 30);
  }
  return finish(robot, Trim{trim}, runs);
}

// Two runs at -10 and 10, one line each, and a straight line between.
Outcome by_interpolation(VirtualRobot robot, const BenchPerson& person, Rng& rng) {
  double seen[2] = {0.0, 0.0};
  for (const int i : {0, 1}) {
    const auto noted = run_one_line(robot, person, robot.robot().level_usual,
                                    Trim{i == 0 ? -10 : 10}, Length::from_m(1), rng);
    robot.charge();
    if (noted && noted->run.end) seen[i] = noted->run.end->sideways.mm() / noted->run.end->line.m();
  }
  const double slope = (seen[1] - seen[0]) / 20.0;
  const double trim = slope == 0.0 ? 0.0 : -10.0 - seen[0] / slope;
  return finish(robot, Trim{static_cast<int>(std::lround(std::clamp(trim, -30.0, 30.0)))}, 2);
}

int percentile(std::vector<int> values, double p) {
  std::sort(values.begin(), values.end());
  return values[static_cast<std::size_t>(p * static_cast<double>(values.size() - 1))];
}

void report(const std::string& name, const std::vector<Outcome>& outcomes) {
  int good = 0, covered = 0, judged = 0, given_up = 0, given_up_wrongly = 0, reachable = 0,
      unreachable = 0, told = 0;
  double size = 0.0;
  std::vector<int> runs;
  for (const Outcome& o : outcomes) {
    good += o.good();
    size += std::abs(o.drift);
    runs.push_back(o.runs);
    reachable += o.reachable();
    unreachable += !o.reachable();
    if (!o.verdict) continue;
    ++judged;
    covered += o.covered;
    const bool gave_up = *o.verdict == Verdict::kCannotReach;
    given_up += gave_up;
    given_up_wrongly += gave_up && o.reachable();
    told += gave_up && !o.reachable();
  }
  const double n = static_cast<double>(outcomes.size());
  fmt::print("{:<16} good {:5.1f} %  runs median {} p95 {}  mean |drift| {:5.2f} mm/m", name,
             100.0 * good / n, percentile(runs, 0.5), percentile(runs, 0.95), size / n);
  if (judged > 0) {
    fmt::print(
        "  interval holds {:5.1f} %  cannot-reach: given {} ({} of {} that can = {:.1f} %), right "
        "for {} of {} that can't",
        100.0 * covered / judged, given_up, given_up_wrongly, reachable,
        100.0 * given_up_wrongly / std::max(reachable, 1), told, unreachable);
  }
  fmt::print("\n");
}

void race(int robots, std::uint64_t seed, double blunders) {
  BenchPerson person;
  person.blunder_probability = blunders;
  std::vector<Outcome> advice, eye, interpolation;
  for (int i = 0; i < robots; ++i) {
    Rng rng(seed + static_cast<std::uint64_t>(i));
    const VirtualRobot robot = draw_virtual_robot(rng);
    advice.push_back(by_advice(robot, person, rng));
    eye.push_back(by_eye(robot, person, rng));
    interpolation.push_back(by_interpolation(robot, person, rng));
  }
  fmt::print("{} virtual robots, seed {}, blunders {:.0f} %\n", robots, seed, 100.0 * blunders);
  report("stated next run", advice);
  report("by eye", eye);
  report("two runs", interpolation);
}

// The robots of sets of six, from the fourth on: what three trued ones of the same kit are worth.
void race_of_sets(int sets, std::uint64_t seed, double blunders) {
  BenchPerson person;
  person.blunder_probability = blunders;
  std::vector<Outcome> alone, with_set;
  for (int i = 0; i < sets; ++i) {
    Rng rng(seed + 1000003 * static_cast<std::uint64_t>(i + 1));
    VirtualRobotOptions kit;
    kit.population = draw_set_population(rng);
    std::vector<Truing> trued;
    for (int r = 0; r < 6; ++r) {
      const VirtualRobot robot = draw_virtual_robot(rng, kit);
      TruingOptions options;
      options.set = set_prior(trued);
      Truing truing;
      const Outcome outcome = by_advice(robot, person, rng, options, &truing);
      trued.push_back(truing);
      if (!options.set) continue;
      with_set.push_back(outcome);
      alone.push_back(by_advice(robot, person, rng));
    }
  }
  fmt::print("{} sets of six, seed {}, blunders {:.0f} %\n", sets, seed, 100.0 * blunders);
  report("knows its set", with_set);
  report("the same alone", alone);
}

void speed(std::uint64_t seed) {
  Rng rng(seed);
  VirtualRobot robot = draw_virtual_robot(rng);
  BenchPerson person;
  std::vector<Run> runs;
  while (runs.size() < 30) {
    const int i = static_cast<int>(runs.size());
    auto noted = i % 3 == 2 ? run_turn(robot, person, Level{128}, Trim{0},
                                       Duration::from_s(1 + i % 4), i % 2 == 0, rng)
                            : run_two_lines(robot, person, Level{128}, Trim{i % 7 - 3},
                                            Length::from_mm(700), Length::from_mm(1400), rng);
    robot.charge();
    if (!noted) continue;
    noted->run.row = i + 2;
    runs.push_back(noted->run);
  }
  constexpr int kRepeats = 50;
  const auto start = std::chrono::steady_clock::now();
  for (int i = 0; i < kRepeats; ++i) {
    if (!true_robot(robot.robot(), runs, {})) std::abort();
  }
  const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
  fmt::print("30 runs fitted with covariance, advice and verdict: {:.2f} ms\n",
             took.count() / kRepeats);
}

}  // namespace
}  // namespace runtrue

int main(int argc, char** argv) {
  const int robots = argc > 1 ? std::atoi(argv[1]) : 2000;
  const std::uint64_t seed = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
  runtrue::speed(seed);
  runtrue::race(robots, seed, 0.02);
  runtrue::race(robots, seed, 0.0);
  runtrue::race_of_sets(robots / 6, seed, 0.02);
}
