#include "forecast/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace runtrue {
namespace {

// `value` with two significant digits, rounded down or up: an interval's end is never moved inward,
// and neither 0 nor 100 % is ever said.
double two_digits(double value, bool up) {
  if (value <= 0.0) return 0.0;
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 1.0);
  // The small share keeps 0.05 from being rounded to the next step for its binary tail alone.
  return (up ? std::ceil(value / step - 1e-9) : std::floor(value / step + 1e-9)) * step;
}

double percent(double probability, bool up) {
  const double percents = 100.0 * probability;
  if (percents <= 10.0) return two_digits(percents, up);
  if (percents > 99.0) return 100.0 - two_digits(100.0 - percents, !up);
  return up ? std::ceil(percents - 1e-9) : std::floor(percents + 1e-9);
}

// "5 to 14 %".
std::string interval_words(const Probability& p) {
  if (p.high >= 1.0) return fmt::format("over {:.9g} %", percent(p.low, false));
  return fmt::format("{:.9g} to {:.9g} %", percent(p.low, false), percent(p.high, true));
}

std::string none_words(const Probability& p, int samples) {
  const double in = two_digits(1.0 / p.high, false);
  if (in >= 2.0) return fmt::format("under 1 time in {:.0f}", std::floor(in));
  return fmt::format("in none of {} tries, too few to say more", samples);
}

// ", first in move 3, turn left 90 deg", where that is what goes wrong in the move.
std::string place_words(const Forecast& forecast, const std::vector<CompiledMove>& moves,
                        Mishap mishap) {
  const auto& risky = forecast.first_risky_move;
  if (!risky || risky->mishap != mishap) return "";
  return fmt::format(", {} in move {}, {}", risky->probability >= 0.01 ? "first" : "most often",
                     risky->index + 1, moves[static_cast<std::size_t>(risky->index)].text);
}

std::string what_is_so(const Robot& robot, const std::vector<CompiledMove>& moves,
                       const Forecast& forecast) {
  const bool falls = forecast.fall.mean > 0.0, bumps = forecast.bump.mean > 0.0;
  if (!falls && !bumps) {
    const Probability& worse =
        forecast.fall.high > forecast.bump.high ? forecast.fall : forecast.bump;
    return fmt::format("{} stays on the table and clear of everything: it goes wrong {}.",
                       robot.name, none_words(worse, forecast.samples));
  }
  std::string text = robot.name;
  if (falls) {
    text += fmt::format(" falls {}{}", chance_words(forecast.fall, forecast.samples),
                        place_words(forecast, moves, Mishap::kFalls));
  }
  if (bumps) {
    text += fmt::format("{} bumps into something {}{}", falls ? "; it" : "",
                        chance_words(forecast.bump, forecast.samples),
                        place_words(forecast, moves, Mishap::kBumps));
  }
  return text + ".";
}

std::string what_to_do(const Forecast& forecast, const std::optional<SafeStart>& safest) {
  const double risk = forecast.fall.mean + forecast.bump.mean;
  if (risk == 0.0) return "";
  if (!safest) return " Start it further from there, or shorten the moves.";
  if (safest->mishap.mean < 0.9 * risk) {
    return fmt::format(" Start it at {}: there it goes wrong {}.", pose_words(safest->start),
                       chance_words(safest->mishap, forecast.samples));
  }
  return " No start found on this table does better: shorten the moves or make more room.";
}

std::string less_sure(const std::vector<CompiledMove>& moves) {
  const auto untrued = std::find_if(moves.begin(), moves.end(),
                                    [](const CompiledMove& m) { return !m.untrued.empty(); });
  if (untrued == moves.end()) return "";
  return fmt::format(" Less sure from move {} on: {}.", untrued - moves.begin() + 1,
                     untrued->untrued);
}

}  // namespace

std::string chance_words(const Probability& probability, int samples) {
  const double mean = probability.mean;
  if (mean <= 0.0) return none_words(probability, samples);
  std::string often = "nearly every time";
  if (mean < 0.35) {
    often = fmt::format("about 1 time in {:.0f}",
                        mean < 0.01 ? two_digits(1.0 / mean, false) : std::round(1.0 / mean));
  } else if (mean < 0.95) {
    often = fmt::format("about {:.0f} times in 10", std::min(std::round(10.0 * mean), 9.0));
  }
  return fmt::format("{} ({})", often, interval_words(probability));
}

std::string pose_words(const Pose& pose) {
  // Rounded first: -179.6 deg is as good as -180.
  const double deg = std::round(pose.heading.wrapped().deg());
  const auto whole = [](double value) { return std::round(value) + 0.0; };  // no "-0"
  return fmt::format("x {:.0f} mm, y {:.0f} mm, heading {:.0f} deg", whole(pose.x.mm()),
                     whole(pose.y.mm()), deg >= 180.0 ? -180.0 : deg + 0.0);
}

namespace {

std::string measurement_words(const MeasurementGain& gain) {
  const int level = gain.level.value;
  switch (gain.what) {
    case Measurement::kStraightRuns:
      return fmt::format("{} more runs read at two lines, {} at level {},", gain.runs,
                         level > 0 ? "forward" : "in reverse", std::abs(level));
    case Measurement::kTimedRuns:
      return fmt::format("{} more runs of a stated time with their distance, {} at level {},",
                         gain.runs, level > 0 ? "forward" : "in reverse", std::abs(level));
    case Measurement::kTurnRuns:
      return fmt::format("{} more turns to the {} at level {}", gain.runs,
                         level > 0 ? "left" : "right", std::abs(level));
    case Measurement::kStartJig:
      return "A start jig, something to set the robot against,";
  }
  return "";
}

std::string scale_words(const Remedies& remedies) {
  const auto& scale = remedies.largest_scale;
  if (!scale) return "No smaller size that it can drive stays on from this start.";
  const double percent = std::round(100.0 * scale->ratio);
  if (percent >= 200.0) return "It would stay on even at twice its size.";
  if (percent == 100.0) return "It is as large as it can be and stay on.";
  if (percent < 100.0) return fmt::format("At {:.0f} % of its size it stays on.", percent);
  return fmt::format("It could be made {:.0f} % of its size and stay on.", percent);
}

}  // namespace

std::vector<std::string> remedy_words(const Remedies& remedies) {
  if (remedies.measurements.empty()) return {};
  std::vector<std::string> words{scale_words(remedies)};
  const bool to_be_slowed =
      !remedies.largest_scale || std::round(100.0 * remedies.largest_scale->ratio) < 100.0;
  if (remedies.needed_level) {
    words.push_back(fmt::format("At level {} and slower it stays on: {}.",
                                remedies.needed_level->level.value,
                                chance_words(remedies.needed_level->mishap, remedies.samples)));
  } else if (to_be_slowed) {
    words.emplace_back("No slower level keeps it on.");
  }
  const MeasurementGain* best = remedies.best_measurement();
  if (best == nullptr) {
    words.emplace_back(
        "No single measurement would change that much: what is left is chance from run to run.");
  } else if (remedies.mishap.mean > 0.0) {
    words.push_back(fmt::format("{} would help most: with that it goes wrong {}.",
                                measurement_words(*best),
                                chance_words(best->mishap, remedies.samples)));
  } else {
    words.push_back(
        fmt::format("{} would narrow the spread of its ends most, from {:.0f} to {:.0f} mm.",
                    measurement_words(*best), remedies.end_spread.mm(), best->end_spread.mm()));
  }
  return words;
}

std::string closing_words(const ClosingError& closing) {
  return fmt::format(
      "ends {:.0f} mm from its start in the median, within {:.0f} mm 95 times in 100",
      closing.median.mm(), closing.within_95.mm());
}

std::string sentence_of(const Robot& robot, const std::vector<CompiledMove>& moves,
                        const Forecast& forecast, const std::optional<SafeStart>& safest) {
  return what_is_so(robot, moves, forecast) + what_to_do(forecast, safest) + less_sure(moves);
}

}  // namespace runtrue
