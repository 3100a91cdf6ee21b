#include "cli/practice_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "cli/words.h"
#include "truing/words.h"

namespace runtrue {

std::string stand_words(const Pose& pose) {
  const std::string ahead =
      fmt::format("{:.0f} mm {}", std::abs(pose.x.mm()), pose.x.mm() < 0 ? "behind" : "ahead");
  return fmt::format("{}, {}, heading {:.0f} deg", ahead, sideways_words(pose.y.mm()),
                     pose.heading.deg());
}

// The way from above: along the tape to the right, the robot's left upward.
std::string plan_of(const DrivenPath& path, const std::optional<Run>& read) {
  constexpr int kColumns = 61, kRows = 4;  // rows to each side
  constexpr double kLeastSide_mm = 40.0;   // so that what is next to straight looks so
  std::vector<Pose> way;
  const double line_mm = read && read->end ? read->end->line.mm() : 1e9;
  for (const TimedPose& p : path.poses) {
    way.push_back(p.pose);
    if (std::abs(p.pose.x.mm()) >= line_mm) break;
  }
  double first = 0.0, last = 1.0, side = kLeastSide_mm;
  for (const Pose& pose : way) {
    first = std::min(first, pose.x.mm());
    last = std::max(last, pose.x.mm());
    side = std::max(side, std::abs(pose.y.mm()));
  }
  std::vector<std::string> rows(2 * kRows + 1, std::string(kColumns, ' '));
  rows[kRows].assign(kColumns, '-');
  const auto place = [&](const Pose& pose) -> char& {
    const double along = (pose.x.mm() - first) / (last - first) * (kColumns - 1);
    const double up = kRows * (1.0 - pose.y.mm() / side);
    return rows[static_cast<std::size_t>(std::lround(up))]
               [static_cast<std::size_t>(std::lround(along))];
  };
  for (const Pose& pose : way) place(pose) = '.';
  place(way.front()) = 'o';
  place(way.back()) = 'x';
  std::string text;
  for (const std::string& row : rows) {
    const auto end = row.find_last_not_of(' ') + 1;
    if (end > 0) text += "  " + row.substr(0, end) + "\n";
  }
  return text +
         fmt::format("  from above, o start, x end: {:.0f} mm along the tape, a row is {:.0f} mm\n",
                     last - first, side / kRows);
}

std::string reading_words(const Run& run) {
  if (run.turned) return fmt::format("It came {:.0f} deg round", run.turned->deg());
  if (run.distance) return fmt::format("It came {:.0f} mm", run.distance->mm());
  std::string text = "The tape shows ";
  if (run.half) {
    text += fmt::format("{} at {:.0f} mm and ", sideways_words(run.half->sideways.mm()),
                        run.half->line.mm());
  }
  return text +
         fmt::format("{} at {:.0f} mm", sideways_words(run.end->sideways.mm()), run.end->line.mm());
}

std::string noting_words(const Run& run) {
  if (run.turned) return fmt::format("note {:.0f}", run.turned->deg());
  if (run.distance) return fmt::format("note {:.0f}", run.distance->mm());
  return run.half
             ? fmt::format("note {:.0f} {:.0f}", run.half->sideways.mm(), run.end->sideways.mm())
             : fmt::format("note {:.0f}", run.end->sideways.mm());
}

std::string score_words(const PracticeScore& score, int noted_runs) {
  const bool trued = std::abs(score.drift_mm_per_m) <= kTrued_mm_per_m;
  return paragraph(fmt::format("At trim {} it really drifts {} in a metre{}. Runs noted: {}, made "
                               "in all: {}.",
                               score.trim.value, sideways_words(score.drift_mm_per_m),
                               trued ? ": it runs true" : "", noted_runs, score.trials)) +
         rows_text(
             {{"best whole trim", std::to_string(score.best_trim.value)},
              {"drift there, mm in a metre", side_words(score.least_mm_per_m)},
              {"a metre by its settings is longer by, mm",
               fmt::format("{:.0f}", score.metre_error_mm)},
              {"a round to the left is wider by, deg", fmt::format("{:.0f}", score.left_error_deg)},
              {"a round to the right is wider by, deg",
               fmt::format("{:.0f}", score.right_error_deg)}});
}

Json score_document(const std::string& robot, const PracticeScore& score) {
  return {{"robot", robot},
          {"trim", score.trim.value},
          {"best_trim", score.best_trim.value},
          {"drift_mm_per_m", rounded_number(score.drift_mm_per_m)},
          {"least_drift_mm_per_m", rounded_number(score.least_mm_per_m)},
          {"in_tolerance", std::abs(score.drift_mm_per_m) <= kTrued_mm_per_m},
          {"metre_error_mm", rounded_number(score.metre_error_mm)},
          {"left_round_error_deg", rounded_number(score.left_error_deg)},
          {"right_round_error_deg", rounded_number(score.right_error_deg)},
          {"trials_made", score.trials}};
}

}  // namespace runtrue
