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

constexpr double kRead = 0.6;        // a run that is read as noted with less than this is named
constexpr double kFits_sd = 2.0;     // a slip explains a run when it then fits this well
constexpr double kAimed_rad = 0.08;  // an aim further off than this is no slip of trim or level
constexpr double kFar_sd = 3.5;      // of a timed run; a good one in 2000 lies so far off

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

// The likeliest reading of a run other than as noted, and the aim its marks then give.
Reading likeliest_slip(const StraightPosterior& posterior, std::size_t i) {
  Reading likeliest = Reading::kBumped;
  for (const Reading reading : {Reading::kFlipped, Reading::kHalfFlipped, Reading::kEndFlipped}) {
    if (posterior.probability(i, reading) > posterior.probability(i, likeliest))
      likeliest = reading;
  }
  return likeliest;
}

// The run with the side of its slipped marks put right.
Run put_right(Run run, Reading slip) {
  const bool half = slip == Reading::kFlipped || slip == Reading::kHalfFlipped;
  const bool end = slip == Reading::kFlipped || slip == Reading::kEndFlipped;
  if (half && run.half) run.half->sideways = -run.half->sideways;
  if (end && run.end) run.end->sideways = -run.end->sideways;
  return run;
}

// Where the robot should have crossed a line of this run if it bends as the others say: with the
// aim its marks give once they are put right, or a straight aim where they give none.
std::string expected_words(const Run& run, const LineReading& line, Reading slip,
                           double curvature_per_mm) {
  double aim_rad = 0.0;
  if (slip != Reading::kBumped && run.half && run.end) {
    const Run right = put_right(run, slip);
    aim_rad = fit_two_marks(right.half->line.mm(), right.half->sideways.mm(), right.end->line.mm(),
                            right.end->sideways.mm())
                  .aim_rad;
  }
  const double would_mm = sideways_at_mm(line.line.mm(), curvature_per_mm, aim_rad);
  if (std::isnan(would_mm)) return "off the strip before";
  return std::abs(would_mm) < 0.5 ? "the middle"
                                  : fmt::format("about {}", sideways_words(would_mm));
}

std::string side_of(const LineReading& reading) {
  return reading.sideways.mm() > 0.0 ? "right" : "left";  // the other one
}

std::string straight_cause(const Robot& robot, const Run& run, const Run* before,
                           const StraightObservation& seen, const Expected& expected,
                           const StraightPosterior& posterior, std::size_t i) {
  const double track = robot.track_width.mm();
  const double scatter = posterior.scatter_per_mm() * track;
  const Reading slip = likeliest_slip(posterior, i);
  const LineReading& shown = slip == Reading::kHalfFlipped || !run.end ? *run.half : *run.end;
  const std::string text = fmt::format("reads {} at {:.0f} mm where {} was expected",
                                       sideways_words(shown.sideways.mm()), shown.line.mm(),
                                       expected_words(run, shown, slip, expected.mean / track));
  if (slip == Reading::kFlipped && run.half && run.end) {
    return text + fmt::format("; it fits if both its marks were to the {}", side_of(shown));
  }
  if (slip != Reading::kBumped) {
    return text + fmt::format("; it fits if it was {:g} to the {}", std::abs(shown.sideways.mm()),
                              side_of(shown));
  }
  const auto fits = [&](Level level, Trim trim) {
    if (trim < robot.trim_range.lowest || trim > robot.trim_range.highest) return false;
    if (level == seen.level && trim == seen.trim) return false;
    const Expected e = expected_without(posterior, i, design_of(robot, level, trim));
    const double off = seen.noted().mismatch - e.mean;
    const double all = e.variance + seen.noted().variance + scatter * scatter;
    return off * off <= kFits_sd * kFits_sd * all && std::abs(seen.aim_rad) < kAimed_rad;
  };
  if (fits(seen.level, Trim{-seen.trim.value})) {
    return text +
           fmt::format("; it fits if the trim was {}, not {}", -seen.trim.value, seen.trim.value);
  }
  if (before != nullptr && fits(seen.level, before->trim)) {
    return text + fmt::format("; it fits if the trim was still {}", before->trim.value);
  }
  for (const int level : {-seen.level.value, robot.level_usual.value, robot.level_full.value}) {
    if (fits(Level{level}, seen.trim)) {
      return text + fmt::format("; it fits if the level was {}, not {}", level, seen.level.value);
    }
  }
  return text +
         "; no simple slip explains it, so it may have been bumped, or run at another trim or "
         "level than noted";
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
    const Run* before = nullptr;
    for (auto r = runs.begin(); r != run; ++r) {
      if (r->kind == RunKind::kStraight) before = &*r;
    }
    doubtful.push_back(
        {seen.row, straight_cause(robot, *run, before, seen, expected, posterior, i)});
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
    text += cause.value_or(
        "; it may have been held up, or run for another time or at another level than noted");
    doubtful.push_back({r.row, std::move(text)});
  }
  std::sort(doubtful.begin(), doubtful.end(),
            [](const auto& a, const auto& b) { return a.row < b.row; });
  return doubtful;
}

}  // namespace runtrue::internal
