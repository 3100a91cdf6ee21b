// The race: how many straight runs until a robot runs true, on virtual robots with hidden motors,
// and how honest the intervals are. Prints the report that docs/truing_race.md keeps; takes the
// number of robots and the seed. Our procedure stands beside the one by eye, plain interpolation
// between two runs, and an oracle that knows all that a bench can't.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <numbers>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "drive/pose.h"
#include "drive/settings.h"
#include "link/bench_person.h"
#include "link/virtual_robot.h"
#include "truing/set_prior.h"
#include "truing/truing.h"
#include "truing_oracle.h"

namespace runtrue {
namespace {

constexpr double kTolerance = 10.0;  // mm per metre
constexpr double kGrace = 3.0;       // of what the best whole trim can reach
constexpr int kMostRuns = 15;
constexpr double kMargin = 0.5;  // mm/m: a robot nearer the tolerance than this is told by luck

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

// `kept`, if given, gets the runs.
Outcome by_advice(VirtualRobot robot, const BenchPerson& person, Rng& rng,
                  const TruingOptions& options = {}, std::vector<Run>* kept = nullptr) {
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
  if (kept != nullptr) *kept = std::move(runs);
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
  int good = 0, covered = 0, judged = 0, given_up_wrongly = 0, reachable = 0, unreachable = 0,
      told = 0, clear = 0, clear_told = 0, called = 0, called_rightly = 0, wrongly_clear = 0;
  std::vector<int> runs;
  for (const Outcome& o : outcomes) {
    good += o.good();
    runs.push_back(o.runs);
    reachable += o.reachable();
    unreachable += !o.reachable();
    if (!o.verdict) continue;
    ++judged;
    covered += o.covered;
    const bool gave_up = *o.verdict == Verdict::kCannotReach;
    given_up_wrongly += gave_up && o.reachable();
    told += gave_up && !o.reachable();
    const double least = std::abs(o.best_drift);
    clear += least > kTolerance + kMargin;
    clear_told += gave_up && least > kTolerance + kMargin;
    wrongly_clear += gave_up && least <= kTolerance - kMargin;
    const bool in = *o.verdict == Verdict::kInTolerance;
    called += in;
    called_rightly += in && std::abs(o.drift) <= kTolerance;
  }
  const double n = static_cast<double>(outcomes.size());
  std::vector<double> sizes;
  for (const Outcome& o : outcomes) sizes.push_back(std::abs(o.drift));
  std::nth_element(sizes.begin(), sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2),
                   sizes.end());
  fmt::print("{:<17} good {:5.1f} %  runs median {} p95 {:2}  drift left, median {:4.1f} mm/m\n",
             name, 100.0 * good / n, percentile(runs, 0.5), percentile(runs, 0.95),
             sizes[sizes.size() / 2]);
  if (judged == 0) return;
  fmt::print("    interval holds {:.1f} %; called in tolerance {}, rightly {:.1f} %\n",
             100.0 * covered / judged, called, 100.0 * called_rightly / std::max(called, 1));
  fmt::print("    cannot-reach: for {} of {} that can't, {} of {} that can ({:.2f} %)\n", told,
             unreachable, given_up_wrongly, reachable,
             100.0 * given_up_wrongly / std::max(reachable, 1));
  fmt::print("    beyond {:g} mm/m of the limit: for {} of {} that can't, {} that can\n", kMargin,
             clear_told, clear, wrongly_clear);
}

TruingOptions on_a_strip(double longest_mm) {
  TruingOptions options;
  options.longest_line = Length::from_mm(longest_mm);
  return options;
}

void race(int robots, std::uint64_t seed, double blunders, double longest_mm, bool others) {
  BenchPerson person;
  person.blunder_probability = blunders;
  std::vector<Outcome> advice, eye, interpolation;
  for (int i = 0; i < robots; ++i) {
    Rng rng(seed + static_cast<std::uint64_t>(i));
    const VirtualRobot robot = draw_virtual_robot(rng);
    advice.push_back(by_advice(robot, person, rng, on_a_strip(longest_mm)));
    if (!others) continue;
    eye.push_back(by_eye(robot, person, rng));
    interpolation.push_back(by_interpolation(robot, person, rng));
  }
  fmt::print("\n{} virtual robots, seed {}, blunders {:.0f} %, lines at {:g} and {:g} mm\n", robots,
             seed, 100.0 * blunders, longest_mm / 2.0, longest_mm);
  report("stated next run", advice);
  if (!others) return;
  report("by eye", eye);
  report("two runs", interpolation);
}

// Ours and the oracle on the same runs, which are those that ours asked for: what is left of the
// drift at the trim that each would set, over the robots that can be trued.
void against_the_oracle(int robots, std::uint64_t seed) {
  constexpr int kMost = 6;
  const BenchPerson person;
  Rng population(seed ^ 0x5eed);
  const double mismatch_sd = mismatch_sd_of({}, population);
  double ours[kMost + 1] = {}, oracles[kMost + 1] = {};
  int counted = 0;
  for (int i = 0; i < robots; ++i) {
    Rng rng(seed + static_cast<std::uint64_t>(i));
    VirtualRobot robot = draw_virtual_robot(rng);
    if (!finish(robot, Trim{0}, 0).reachable()) continue;
    ++counted;
    const Oracle oracle(robot, person, mismatch_sd);
    std::vector<Run> runs;
    std::vector<NotedRun> noted;
    Truing truing = *true_robot(robot.robot(), runs);
    for (int n = 1; n <= kMost; ++n) {
      Trim trim = truing.best_trim;
      if (truing.verdict == Verdict::kMoreRuns) trim = truing.next_run->trim;
      auto run = run_two_lines(robot, person, robot.robot().level_usual, trim,
                               Length::from_mm(1000), Length::from_mm(2000), rng);
      robot.charge();
      if (run && check_run(run->run, robot.robot())) {
        run->run.row = n + 1;
        runs.push_back(run->run);
        noted.push_back(*run);
        truing = *true_robot(robot.robot(), runs);
      }
      ours[n] += std::abs(drift_at(robot, truing.best_trim));
      oracles[n] += std::abs(drift_at(robot, oracle.best_trim(noted)));
    }
  }
  fmt::print("\nmean drift left after so many runs, mm/m, {} robots that can be trued\n", counted);
  for (int n = 2; n <= kMost; ++n) {
    fmt::print("    {} runs: ours {:6.2f}  oracle {:6.2f}  ratio {:.3f}\n", n, ours[n] / counted,
               oracles[n] / counted, ours[n] / oracles[n]);
  }
}

// A full turn commanded by the fitted constants, without the chance of the single turn.
double full_turn_error_deg(const VirtualRobot& robot, const DriveSettings& settings, bool left,
                           Rng& rng) {
  HiddenTruth truth = robot.truth();
  truth.chance = {0.0, 0.0, 0.0, 0.0};
  const int side = left ? 1 : -1, level = truth.robot.level_usual.value;
  WheelCommand command{{-side * level}, {side * level}, 1000000};
  const Motion motion = motion_of(settings.mean, truth.robot, command, settings.trim);
  const double seconds =
      2.0 * std::numbers::pi / std::abs(motion.turn_rate.rad_per_s()) + motion.lost.s();
  command.milliseconds = static_cast<int>(std::lround(1e3 * seconds));
  VirtualRobot still(truth);
  const double turned = still.drive(command, settings.trim, rng).end().heading.deg();
  return std::abs(std::abs(turned) - 360.0);
}

// Distances and turns as advised after the straights, at most three turns each way.
void turns(int robots, std::uint64_t seed) {
  constexpr int kMostTurns = 3;
  const BenchPerson person;
  std::vector<double> errors;
  std::vector<double> chances;  // the error a single turn has by its own scatter
  std::vector<int> made;
  for (int i = 0; i < robots; ++i) {
    Rng rng(seed + static_cast<std::uint64_t>(i));
    VirtualRobot robot = draw_virtual_robot(rng);
    std::vector<Run> runs;
    const Outcome outcome = by_advice(robot, person, rng, {}, &runs);
    if (outcome.verdict != Verdict::kInTolerance) continue;
    Truing truing = *true_robot(robot.robot(), runs);
    int sides[2] = {0, 0};
    for (int n = 0; n < 20 && truing.next_run; ++n) {
      const NextRun& next = *truing.next_run;
      std::optional<NotedRun> noted;
      if (next.kind == RunKind::kTurn) {
        if (++sides[next.to_the_left] > kMostTurns) break;
        noted = run_turn(robot, person, next.level, next.trim, next.time, next.to_the_left, rng);
      } else if (next.time > Duration()) {
        noted = run_timed(robot, person, next.level, next.trim, next.time, rng);
      } else {
        noted = run_two_lines(robot, person, next.level, next.trim, next.half_line, next.line, rng);
      }
      robot.charge();
      if (!noted || !check_run(noted->run, robot.robot())) continue;
      noted->run.row = static_cast<int>(runs.size()) + 2;
      runs.push_back(noted->run);
      truing = *true_robot(robot.robot(), runs);
    }
    made.push_back(std::min(std::max(sides[0], sides[1]), kMostTurns));
    errors.push_back(std::max(full_turn_error_deg(robot, truing.settings, true, rng),
                              full_turn_error_deg(robot, truing.settings, false, rng)));
    chances.push_back(1.96 * 360.0 * robot.truth().chance.turn_ratio_sd);
  }
  const auto at = [](std::vector<double> values, double part) {
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(part * static_cast<double>(values.size() - 1))];
  };
  const auto within = std::count_if(errors.begin(), errors.end(), [](double e) { return e < 3.0; });
  fmt::print("\nturns: {} robots, at most {} turn runs each way (median {})\n", errors.size(),
             kMostTurns, percentile(made, 0.5));
  fmt::print(
      "    error of a full turn by the constants, the worse side: median {:.1f}, p95 {:.1f} "
      "deg; under 3 deg in {:.0f} %\n",
      at(errors, 0.5), at(errors, 0.95),
      100.0 * static_cast<double>(within) / static_cast<double>(errors.size()));
  fmt::print("    beside it 95 % of one robot's own turns lie within {:.1f} deg (median robot)\n",
             at(chances, 0.5));
}

// The robots of sets of six, from the fourth on: what three trued ones of the same kit are worth.
void race_of_sets(int sets, std::uint64_t seed, double blunders, double longest_mm) {
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
      TruingOptions options = on_a_strip(longest_mm);
      options.set = set_prior(trued);
      std::vector<Run> runs;
      const Outcome outcome = by_advice(robot, person, rng, options, &runs);
      trued.push_back(*true_robot(robot.robot(), runs));
      if (!options.set) continue;
      with_set.push_back(outcome);
      alone.push_back(by_advice(robot, person, rng, on_a_strip(longest_mm)));
    }
  }
  fmt::print(
      "\n{} sets of six, from the fourth robot on, seed {}, blunders {:.0f} %, lines at {:g} "
      "and {:g} mm\n",
      sets, seed, 100.0 * blunders, longest_mm / 2.0, longest_mm);
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
  const auto fit_and_advise_ms = [&](std::span<const Run> some) {
    const auto start = std::chrono::steady_clock::now();
    for (int i = 0; i < kRepeats; ++i) {
      if (!true_robot(robot.robot(), some, {})) std::abort();
    }
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
    return took.count() / kRepeats;
  };
  fmt::print("fit with covariance, verdict and advice: {:.2f} ms for 30 runs",
             fit_and_advise_ms(runs));
  const std::vector<Run> few(runs.begin(), runs.begin() + 2);
  fmt::print(", {:.2f} ms for 2\n", fit_and_advise_ms(few));

  // A set of 30 robots with six straights each: every robot alone, the set's prior, every robot
  // anew.
  const auto start = std::chrono::steady_clock::now();
  std::vector<Truing> trued;
  std::vector<Run> six;
  for (const Run& run : runs) {
    if (run.kind == RunKind::kStraight && six.size() < 6) six.push_back(run);
  }
  for (int i = 0; i < 30; ++i) trued.push_back(*true_robot(robot.robot(), six));
  TruingOptions options;
  options.set = set_prior(trued);
  for (int i = 0; i < 30; ++i) trued.push_back(*true_robot(robot.robot(), six, options));
  const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
  fmt::print("a set of 30 robots, alone and with what the set knows: {:.0f} ms\n", took.count());
}

}  // namespace
}  // namespace runtrue

int main(int argc, char** argv) {
  const int robots = argc > 1 ? std::atoi(argv[1]) : 2000;
  const std::uint64_t seed = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 1;
  constexpr double kLong = 2000.0, kShort = 1400.0;  // strips, mm
  runtrue::speed(seed);
  runtrue::race(robots, seed, 0.02, kLong, true);
  runtrue::race(robots, seed, 0.0, kLong, false);
  runtrue::race(robots, seed, 0.02, kShort, false);
  runtrue::race_of_sets(robots / 6, seed, 0.02, kLong);
  runtrue::race_of_sets(robots / 6, seed, 0.02, kShort);
  runtrue::against_the_oracle(robots, seed);
  runtrue::turns(robots, seed);
}
