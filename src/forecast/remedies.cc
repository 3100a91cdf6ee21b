#include "forecast/remedies.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <set>
#include <tuple>

#include "forecast/internal/checks.h"
#include "forecast/internal/interval.h"
#include "forecast/internal/learned.h"
#include "forecast/internal/run_walk.h"
#include "moves/change_moves.h"
#include "moves/compile.h"

namespace runtrue {
namespace {

constexpr int kLookSamples = 512;  // to find where to look closer
constexpr int kMostTries = 4096;   // for what is told
constexpr int kLowestPercent = 10, kHighestPercent = 200, kPercentStep = 5;
constexpr int kLevelSteps = 16;  // levels looked at between the dead band and the list's highest

struct Outcome {
  Probability mishap;
  Length end_spread;
};

class Tries {
 public:
  Tries(const Robot& robot, const std::vector<FlatMove>& moves, const internal::Scene& scene,
        const Pose& start, const ForecastOptions& options)
      : robot_(robot), moves_(moves), scene_(scene), start_(start), options_(options) {
    options_.kept_paths = 0;
    options_.samples = std::min(options.samples, kMostTries);
  }
  [[nodiscard]] int samples() const { return options_.samples; }

  [[nodiscard]] Outcome of(const std::vector<CompiledMove>& moves, const DriveSettings& settings,
                           const ForecastOptions& options) const {
    const internal::Sampler sampler(robot_, settings, moves);
    Pose end = start_;
    for (const Arc& arc : sampler.mean_arcs()) end = compose(end, pose_after(arc));
    const auto walked = internal::run_walk({sampler, scene_, start_, end, options});
    const double n = options.samples;
    double square = 0.0;
    for (const std::size_t i : {0U, 1U}) {
      const double mean = walked.sums.first[i] / n;
      square += std::max(walked.sums.second[4 * i] / n - mean * mean, 0.0);
    }
    return {internal::probability_of(static_cast<int>(walked.mishaps.size()), options.samples),
            Length::from_mm(std::sqrt(square))};
  }
  [[nodiscard]] Outcome of(const std::vector<CompiledMove>& moves,
                           const DriveSettings& settings) const {
    return of(moves, settings, options_);
  }
  [[nodiscard]] const ForecastOptions& options() const { return options_; }

  // A changed list where it stays on: by a quick look, then by all tries. None also where the robot
  // can't do it.
  [[nodiscard]] std::optional<Probability> stays_on(const std::vector<FlatMove>& moves,
                                                    const DriveSettings& settings,
                                                    double allowed) const {
    const auto compiled = compile_moves(moves, robot_, settings);
    if (!compiled) return std::nullopt;
    ForecastOptions quick = options_;
    quick.samples = std::min(quick.samples, kLookSamples);
    // Twice what is allowed and a bit: a list that stays on is hardly ever lost by so rough a look.
    if (of(*compiled, settings, quick).mishap.mean > 2.0 * allowed + 0.01) return std::nullopt;
    const Probability mishap = of(*compiled, settings).mishap;
    if (mishap.mean > allowed) return std::nullopt;
    return mishap;
  }

  [[nodiscard]] const Robot& robot() const { return robot_; }
  [[nodiscard]] const std::vector<FlatMove>& moves() const { return moves_; }

 private:
  const Robot& robot_;
  const std::vector<FlatMove>& moves_;
  const internal::Scene& scene_;
  Pose start_;
  ForecastOptions options_;
};

std::optional<ScaledList> largest_scale(const Tries& tries, const DriveSettings& settings,
                                        double allowed) {
  const auto at = [&](int percent) -> std::optional<ScaledList> {
    const double ratio = percent / 100.0;
    const auto mishap = tries.stays_on(scaled(tries.moves(), ratio), settings, allowed);
    if (!mishap) return std::nullopt;
    return ScaledList{ratio, *mishap};
  };
  for (int percent = kHighestPercent; percent >= kLowestPercent; percent -= kPercentStep) {
    auto found = at(percent);
    if (!found) continue;
    for (int finer = std::min(percent + kPercentStep - 1, kHighestPercent); finer > percent;
         --finer) {
      if (auto larger = at(finer)) return larger;
    }
    return found;
  }
  return std::nullopt;
}

int highest_level(const std::vector<CompiledMove>& moves) {
  int highest = 0;
  for (const CompiledMove& m : moves) {
    // Of a bend: the middle of its two levels, which is the list's.
    highest = std::max(highest, std::abs(m.command.left.value - m.command.right.value) / 2);
    highest = std::max(highest, std::abs(m.command.left.value + m.command.right.value) / 2);
  }
  return highest;
}

std::optional<SlowedList> needed_level(const Tries& tries, const std::vector<CompiledMove>& moves,
                                       const DriveSettings& settings, double allowed) {
  const int highest = highest_level(moves);
  const int lowest = static_cast<int>(std::ceil(settings.of(Constant::kDeadBand))) + 1;
  const int step = std::max((highest - lowest) / kLevelSteps, 1);
  for (int level = highest - step; level >= lowest; level -= step) {
    const auto slow = slowed(tries.moves(), Level{level}, tries.robot().level_usual);
    if (auto mishap = tries.stays_on(slow, settings, allowed)) {
      return SlowedList{Level{level}, *mishap};
    }
  }
  return std::nullopt;
}

std::vector<MeasurementGain> worth_weighing(const std::vector<CompiledMove>& moves, int more_runs) {
  std::set<std::tuple<Measurement, int>> kinds;
  for (const CompiledMove& move : moves) {
    const int left = move.command.left.value, right = move.command.right.value;
    if (left == 0 && right == 0) continue;
    if (left == -right) {
      kinds.insert({Measurement::kTurnRuns, right});
    } else {
      kinds.insert({Measurement::kStraightRuns, (left + right) / 2});
      kinds.insert({Measurement::kTimedRuns, (left + right) / 2});
    }
  }
  std::vector<MeasurementGain> gains;
  for (const auto& [what, level] : kinds) gains.push_back({what, Level{level}, more_runs, {}, {}});
  gains.push_back({Measurement::kStartJig, {}, 0, {}, {}});
  return gains;
}

// Of the levels of one kind all but the first few: a list that uses many is not measured at each.
std::vector<MeasurementGain> a_few(const std::vector<MeasurementGain>& gains) {
  constexpr int kOfAKind = 4;
  std::vector<MeasurementGain> kept;
  for (const MeasurementGain& g : gains) {
    const auto same = std::count_if(kept.begin(), kept.end(),
                                    [&](const MeasurementGain& k) { return k.what == g.what; });
    if (same < kOfAKind) kept.push_back(g);
  }
  return kept;
}

std::vector<MeasurementGain> weighed(const Tries& tries, const std::vector<CompiledMove>& moves,
                                     const DriveSettings& settings, const RemedyOptions& remedy) {
  std::vector<MeasurementGain> gains = a_few(worth_weighing(moves, remedy.more_runs));
  for (MeasurementGain& gain : gains) {
    ForecastOptions options = tries.options();
    if (gain.what == Measurement::kStartJig) {
      options.start_sd = std::min(options.start_sd, remedy.jig_sd);
      options.start_heading_sd = std::min(options.start_heading_sd, remedy.jig_heading_sd);
    }
    const Outcome outcome =
        tries.of(moves, internal::learned_from(gain, tries.robot(), settings), options);
    gain.mishap = outcome.mishap;
    gain.end_spread = outcome.end_spread;
  }
  std::stable_sort(gains.begin(), gains.end(), [](const auto& a, const auto& b) {
    return a.mishap.mean != b.mishap.mean ? a.mishap.mean < b.mishap.mean
                                          : a.end_spread < b.end_spread;
  });
  return gains;
}

}  // namespace

const char* word_of(Measurement measurement) {
  switch (measurement) {
    case Measurement::kStraightRuns:
      return "straight-runs";
    case Measurement::kTimedRuns:
      return "timed-runs";
    case Measurement::kTurnRuns:
      return "turn-runs";
    case Measurement::kStartJig:
      return "start-jig";
  }
  return "";
}

const MeasurementGain* Remedies::best_measurement() const {
  constexpr double kWorthIt = 0.9;
  if (measurements.empty()) return nullptr;
  const MeasurementGain& first = measurements.front();
  const bool helps = mishap.mean > 0.0 ? first.mishap.mean < kWorthIt * mishap.mean
                                       : first.end_spread < kWorthIt * end_spread;
  return helps ? &first : nullptr;
}

Result<Remedies> find_remedies(const Robot& robot, const DriveSettings& settings,
                               const std::vector<FlatMove>& moves, const Table& table,
                               const Pose& start, const ForecastOptions& options,
                               const RemedyOptions& remedy) {
  if (auto r = internal::check_inputs(robot, settings, table, options); !r) {
    return tl::unexpected(r.error());
  }
  const internal::Scene scene = internal::scene_of(robot, table);
  if (auto r = internal::check_start(scene, start); !r) return tl::unexpected(r.error());
  RUNTRUE_TRY(const std::vector<CompiledMove> compiled, compile_moves(moves, robot, settings));

  const Tries tries(robot, moves, scene, start, options);
  const Outcome now = tries.of(compiled, settings);
  Remedies found;
  found.mishap = now.mishap;
  found.end_spread = now.end_spread;
  found.samples = tries.samples();
  if (compiled.empty()) return found;
  found.largest_scale = largest_scale(tries, settings, remedy.allowed);
  if (now.mishap.mean > remedy.allowed) {
    found.needed_level = needed_level(tries, compiled, settings, remedy.allowed);
  }
  found.measurements = weighed(tries, compiled, settings, remedy);
  return found;
}

}  // namespace runtrue
