#include "truing/internal/doubt.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "drive/pose.h"
#include "truing/words.h"

namespace runtrue::internal {
namespace {

constexpr double kRead = 0.6;     // a run that is read as noted with less than this is named
constexpr double kFits_sd = 2.0;  // a slip explains a run when it then fits this well
constexpr double kFar_sd = 3.5;   // of a timed run; a good one in 2000 lies so far off

// What the other runs make of this one: mean and variance of its mismatch, by the posterior that
// reads it as bumped (which all but leaves it out) where there is such a part.
struct Expected {
  double mean = 0.0;
  double variance = 0.0;
};

Expected expected_without(const StraightPosterior& posterior, std::size_t i,
                          const StraightVector& design) {
  double weight = 0.0;
  Expected e;
  double square = 0.0;
  for (const auto& part : posterior.parts()) {
    if (part.readings[i] != Reading::kBumped) continue;
    const double m = design.dot(part.mean);
    weight += part.weight;
    e.mean += part.weight * m;
    square += part.weight * (m * m + design.dot(part.covariance * design));
  }
  if (weight <= 0.0) {
    e.mean = design.dot(posterior.mean());
    e.variance = design.dot(posterior.covariance() * design);
    return e;
  }
  e.mean /= weight;
  e.variance = square / weight - e.mean * e.mean;
  return e;
}

std::string straight_cause(const Robot& robot, const Run& run, const StraightObservation& seen,
                           const Expected& expected, const StraightPosterior& posterior,
                           std::size_t i) {
  const double track = robot.track_width.mm();
  const double scatter = posterior.scatter_per_mm() * track;
  const LineReading reading = run.end ? *run.end : *run.half;
  const auto fits = [&](double mismatch, const Expected& where) {
    const double off = mismatch - where.mean;
    return off * off <= kFits_sd * kFits_sd * (where.variance + seen.variance + scatter * scatter);
  };
  const double would_mm = sideways_at_mm(reading.line.mm(), expected.mean / track, seen.aim_rad);
  std::string text = fmt::format("reads {} at {:.0f} mm where about {} was expected",
                                 sideways_words(reading.sideways.mm()), reading.line.mm(),
                                 sideways_words(std::isnan(would_mm) ? 0.0 : would_mm));
  if (posterior.probability(i, Reading::kFlipped) > posterior.probability(i, Reading::kBumped) ||
      fits(-seen.mismatch, expected)) {
    return text + fmt::format("; it fits if it was {} to the {}", std::abs(reading.sideways.mm()),
                              reading.sideways.mm() > 0.0 ? "right" : "left");
  }
  if (seen.trim.value != 0 && Trim{-seen.trim.value} >= robot.trim_range.lowest &&
      Trim{-seen.trim.value} <= robot.trim_range.highest) {
    const StraightVector other = design_of(robot, seen.level, Trim{-seen.trim.value});
    if (fits(seen.mismatch, expected_without(posterior, i, other))) {
      return text +
             fmt::format("; it fits if the trim was {}, not {}", -seen.trim.value, seen.trim.value);
    }
  }
  return text +
         "; no simple slip explains it: was it bumped, or run at another trim or level than noted?";
}

std::optional<std::string> turn_cause(const SpeedResidual& r) {
  const double round = 2.0 * std::numbers::pi;
  for (const double rounds : {-1.0, 1.0}) {
    if (std::abs(r.observed + rounds * round - r.predicted) < kFits_sd * r.sd) {
      return fmt::format("; it fits if it was one full round {}", rounds > 0 ? "more" : "less");
    }
  }
  return std::nullopt;
}

}  // namespace

std::vector<DoubtfulRun> doubtful_runs(const Robot& robot, std::span<const Run> runs,
                                       std::span<const StraightObservation> observations,
                                       const StraightPosterior& posterior, const SpeedFit& speeds) {
  std::vector<DoubtfulRun> doubtful;
  for (std::size_t i = 0; i < observations.size(); ++i) {
    const StraightObservation& seen = observations[i];
    if (posterior.probability(i, Reading::kAsNoted) >= kRead) continue;
    const auto run =
        std::find_if(runs.begin(), runs.end(), [&](const Run& r) { return r.row == seen.row; });
    const Expected expected = expected_without(posterior, i, seen.design);
    doubtful.push_back({seen.row, straight_cause(robot, *run, seen, expected, posterior, i)});
  }
  for (const SpeedResidual& r : speeds.residuals) {
    if (std::abs(r.observed - r.predicted) <= kFar_sd * r.sd) continue;
    if (std::any_of(doubtful.begin(), doubtful.end(),
                    [&](const auto& d) { return d.row == r.row; }))
      continue;
    const bool turn = r.kind == RunKind::kTurn;
    const double unit = turn ? 180.0 / std::numbers::pi : 1.0;
    std::string text =
        fmt::format("{} {:.0f} {} where about {:.0f} was expected", turn ? "turned" : "drove",
                    r.observed * unit, turn ? "deg" : "mm", r.predicted * unit);
    const auto cause = turn ? turn_cause(r) : std::nullopt;
    text +=
        cause.value_or("; was it bumped, or run for another time or at another level than noted?");
    doubtful.push_back({r.row, std::move(text)});
  }
  std::sort(doubtful.begin(), doubtful.end(),
            [](const auto& a, const auto& b) { return a.row < b.row; });
  return doubtful;
}

}  // namespace runtrue::internal
