#include "truing/still_true.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drive/pose.h"
#include "truing/check_chart.h"
#include "truing/internal/straights.h"
#include "truing/words.h"

namespace runtrue {
namespace {

constexpr double kLambda = 0.3;  // usual for single checks: remembers about the last five
constexpr double kWidth = 3.0;   // sd: a robot that has not changed is suspected 1 time in 370

Result<void> check_the_checks(const Robot& robot, const Truing& truing,
                              std::span<const Run> checks) {
  if (truing.run_drifts.empty()) {
    return bad_input(
        fmt::format("{} has no straight runs, expected a trued robot to check", robot.name));
  }
  if (checks.empty()) return bad_input("there is no check run, expected one straight or more");
  for (const Run& run : checks) {
    Place place;
    place.line = run.row;
    if (run.kind != RunKind::kStraight || (!run.half && !run.end)) {
      return bad_input("this check has no tape line, expected a straight read at one or two",
                       place);
    }
    if (run.trim != truing.best_trim || run.level != robot.level_usual) {
      return bad_input(fmt::format("this check was run at trim {} and level {}, expected trim {} "
                                   "and level {} as the settings say",
                                   run.trim.value, run.level.value, truing.best_trim.value,
                                   robot.level_usual.value),
                       place);
    }
  }
  return {};
}

std::string sentence_for(const Robot& robot, const CheckOutcome& outcome, std::size_t count) {
  const double last = outcome.drifts_mm_per_m.back();
  switch (outcome.word) {
    case CheckWord::kStillTrue:
      return fmt::format("{} still runs true: {} in a metre, {} was expected.", robot.name,
                         sideways_words(last), sideways_words(outcome.expected_mm_per_m));
    case CheckWord::kJumped:
      return fmt::format(
          "{} drifts {} in a metre where {} was expected. Run it once more; if it stays so, look "
          "for hair in a wheel, a loose tyre or a tired battery, and true it again.",
          robot.name, sideways_words(last), sideways_words(outcome.expected_mm_per_m));
    case CheckWord::kDrifting:
      return fmt::format(
          "{} has moved slowly from {} to about {} in a metre, over the last {} checks. Clean its "
          "tyres, charge it, and true it again with two runs.",
          robot.name, sideways_words(outcome.expected_mm_per_m),
          sideways_words(outcome.averages_mm_per_m.back()), count - *outcome.since);
  }
  return {};
}

}  // namespace

const char* word_of(CheckWord word) {
  switch (word) {
    case CheckWord::kStillTrue:
      return "still-true";
    case CheckWord::kJumped:
      return "jumped";
    case CheckWord::kDrifting:
      return "drifting";
  }
  return "";
}

Result<CheckOutcome> check_robot_runs(const Robot& robot, const Truing& truing,
                                      std::span<const Run> checks) {
  if (auto r = check_the_checks(robot, truing, checks); !r) return tl::unexpected(r.error());
  const double track = robot.track_width.mm();
  const auto drift = [](double per_mm) { return drift_mm_per_m(Curvature::from_per_mm(per_mm)); };
  CheckOutcome outcome;
  outcome.expected_mm_per_m = truing.drift_mm_per_m.mean;
  double reading = 0.0;  // variance of a check's own reading, curvature
  for (const auto& seen : internal::observe(robot, checks, {})) {
    outcome.drifts_mm_per_m.push_back(drift(seen.noted().mismatch / track));
    reading += seen.noted().variance / (track * track) / static_cast<double>(checks.size());
  }
  const double scatter = truing.settings.scatter.curvature_per_mm;
  const double single_sd = drift(std::sqrt(reading + scatter * scatter));
  // What truing left open shifts all checks alike; a quarter of the 95 % interval is its sd.
  const double known_sd = (truing.drift_mm_per_m.high - truing.drift_mm_per_m.low) / 4.0;
  outcome.jump_limit_mm_per_m = kWidth * std::hypot(single_sd, known_sd);
  const double average_sd = std::hypot(single_sd, known_sd * std::sqrt((2.0 - kLambda) / kLambda));
  const AverageChart chart = average_chart(outcome.drifts_mm_per_m, outcome.expected_mm_per_m,
                                           average_sd, kLambda, kWidth);
  outcome.averages_mm_per_m = chart.smoothed;
  outcome.average_limit_mm_per_m = chart.high - outcome.expected_mm_per_m;

  const auto off = [&](double value) { return std::abs(value - outcome.expected_mm_per_m); };
  const std::size_t count = checks.size();
  if (off(chart.smoothed.back()) > outcome.average_limit_mm_per_m && count > 1) {
    outcome.word = CheckWord::kDrifting;
    // Slack of half an sd and a limit of five: the textbook's sums for a shift of one sd.
    const SumChart sums = sum_chart(outcome.drifts_mm_per_m, outcome.expected_mm_per_m,
                                    0.5 * single_sd, 5.0 * single_sd);
    outcome.since = sums.first_signal ? sums.since : 0;
  }
  if (off(outcome.drifts_mm_per_m.back()) > outcome.jump_limit_mm_per_m &&
      (count == 1 || off(outcome.drifts_mm_per_m[count - 2]) <= outcome.jump_limit_mm_per_m / 2)) {
    outcome.word = CheckWord::kJumped;
    outcome.since = count - 1;
  }
  outcome.sentence = sentence_for(robot, outcome, count);
  return outcome;
}

std::optional<std::string> shared_cause(std::span<const CheckOutcome> outcomes) {
  const auto changed =
      static_cast<std::size_t>(std::count_if(outcomes.begin(), outcomes.end(), [](const auto& o) {
        return o.word != CheckWord::kStillTrue;
      }));
  if (outcomes.size() < 3 || 2 * changed <= outcomes.size()) return std::nullopt;
  return fmt::format(
      "{} of {} robots changed together. Before truing each, look for what they share: another "
      "floor, batteries of one charge, the tape.",
      changed, outcomes.size());
}

}  // namespace runtrue
