#include "truing/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace runtrue {

std::string sideways_words(double mm) {
  if (std::abs(mm) < 0.5) return "straight";
  return fmt::format("{:.0f} mm to the {}", std::abs(mm), mm > 0.0 ? "left" : "right");
}

std::string drift_words(const Estimate& mm_per_m) {
  const double reach = std::max((mm_per_m.high - mm_per_m.low) / 2.0, 1.0);
  if (std::abs(mm_per_m.mean) < 0.5) {
    return fmt::format("straight, give or take {:.0f} mm in a metre", reach);
  }
  return fmt::format("{} in a metre, give or take {:.0f}", sideways_words(mm_per_m.mean), reach);
}

std::string next_run_words(const NextRun& next) {
  if (next.kind == RunKind::kTurn) {
    return fmt::format("Let it turn {} for {:g} s at level {} and read how far round it came.",
                       next.to_the_left ? "left" : "right", next.time.s(), next.level.value);
  }
  if (next.time > Duration()) {
    return fmt::format(
        "Set the trim to {}, drive {:g} s straight at level {} and measure how far it came.",
        next.trim.value, next.time.s(), next.level.value);
  }
  return fmt::format(
      "Set the trim to {}, run it straight at level {} and read the tape at {:.0f} and {:.0f} mm.",
      next.trim.value, next.level.value, next.half_line.mm(), next.line.mm());
}

std::string sentence_of(const Robot& robot, const Truing& truing) {
  std::string sentence;
  if (truing.run_drifts.empty()) {
    sentence = fmt::format("{} has not been measured yet.", robot.name);
  } else if (truing.verdict == Verdict::kInTolerance) {
    sentence = fmt::format("{} runs true at trim {}: {}.", robot.name, truing.best_trim.value,
                           drift_words(truing.drift_mm_per_m));
  } else if (truing.verdict == Verdict::kCannotReach) {
    sentence = fmt::format("{} can't be brought within tolerance: {}.", robot.name, truing.reason);
  } else {
    const RunDrift& last = truing.run_drifts.back();
    const double drift = last.drift_mm_per_m.mean;
    const std::string bends = std::abs(drift) < 0.5
                                  ? std::string("ran straight")
                                  : fmt::format("bent {} in a metre", sideways_words(drift));
    sentence = fmt::format("{} {} at trim {}.", robot.name, bends, last.trim.value);
  }
  if (truing.next_run) sentence += " " + next_run_words(*truing.next_run);
  return sentence;
}

}  // namespace runtrue
