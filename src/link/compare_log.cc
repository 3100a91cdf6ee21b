#include "link/compare_log.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace runtrue {
namespace {

constexpr double kTimeNoted_s = 0.05;    // half of a tenth, to which times are typed
constexpr double kBatteryNoted_v = 0.3;  // two meters differ by as much
constexpr int kNoPartner = 2;
constexpr int kOtherKind = 3;

bool turns(const robot::LogEntry& entry) { return (entry.left < 0) != (entry.right < 0); }
int level_of(const robot::LogEntry& entry) {
  return turns(entry) ? std::abs(entry.left) : entry.left;
}

// What differs, each in words: "trim 3, the robot ran with trim -4".
std::vector<std::string> differences(const robot::LogEntry& entry, const Run& run) {
  const bool turn = turns(entry);
  if (turn != (run.kind == RunKind::kTurn)) {
    return {turn ? "a straight, the robot turned" : "a turn, the robot went straight"};
  }
  std::vector<std::string> all;
  if (level_of(entry) != run.level.value) {
    all.push_back(
        fmt::format("level {}, the robot ran at level {}", run.level.value, level_of(entry)));
  }
  if (entry.trim != run.trim.value) {
    all.push_back(fmt::format("trim {}, the robot ran with trim {}", run.trim.value, entry.trim));
  }
  const bool to_the_left = entry.left < 0;
  if (turn && run.turned && *run.turned != Angle() && (run.turned->rad() > 0) != to_the_left) {
    all.push_back(fmt::format("turned {:g} deg, the robot turned to the {}", run.turned->deg(),
                              to_the_left ? "left" : "right"));
  }
  const double ran_s = entry.on_ms / 1000.0;
  if (run.time && std::abs(run.time->s() - ran_s) > kTimeNoted_s) {
    all.push_back(
        fmt::format("{:g} s, the robot's motors were on for {:.3f} s", run.time->s(), ran_s));
  }
  const double battery_v = entry.battery_mv / 1000.0;
  if (run.battery_v && battery_v > 0 && std::abs(*run.battery_v - battery_v) > kBatteryNoted_v) {
    all.push_back(fmt::format("{:g} V, the robot measured {:.2f} V", *run.battery_v, battery_v));
  }
  return all;
}

int cost_of(const robot::LogEntry& entry, const Run& run) {
  if (turns(entry) != (run.kind == RunKind::kTurn)) return kOtherKind;
  return static_cast<int>(differences(entry, run).size());
}

int cost_unnoted(const robot::LogEntry& entry) {
  return entry.ending == robot::Ending::kFinished ? kNoPartner : 0;
}

// Least costs from entry i and run j on; [entries][runs] with one more of each.
using Costs = std::vector<std::vector<int>>;

Costs costs_of(std::span<const robot::LogEntry> trials, std::span<const Run> runs) {
  Costs costs(trials.size() + 1, std::vector<int>(runs.size() + 1, 0));
  for (std::size_t i = trials.size() + 1; i-- > 0;) {
    for (std::size_t j = runs.size() + 1; j-- > 0;) {
      if (i == trials.size() && j == runs.size()) continue;
      int least = 1 << 20;
      if (i < trials.size()) least = cost_unnoted(trials[i]) + costs[i + 1][j];
      if (j < runs.size()) least = std::min(least, kNoPartner + costs[i][j + 1]);
      if (i < trials.size() && j < runs.size()) {
        least = std::min(least, cost_of(trials[i], runs[j]) + costs[i + 1][j + 1]);
      }
      costs[i][j] = least;
    }
  }
  return costs;
}

std::string entry_words(const robot::LogEntry& entry) {
  return fmt::format("run {} of the log ({} at level {}, trim {})", entry.number,
                     turns(entry) ? "a turn" : "a straight", level_of(entry), entry.trim);
}

void add_differences(std::vector<LogDoubt>& doubts, const robot::LogEntry& entry, const Run& run) {
  for (const std::string& what : differences(entry, run)) {
    doubts.push_back({run.row, entry.number,
                      fmt::format("The run of line {} is noted with {} (run {} of its log)",
                                  run.row, what, entry.number)});
  }
}

}  // namespace

std::vector<LogDoubt> compare_with_log(std::span<const robot::LogEntry> log,
                                       std::span<const Run> runs) {
  std::vector<robot::LogEntry> trials;
  for (const robot::LogEntry& entry : log) {
    if (entry.kind == robot::RunKind::kTrial && entry.on_ms > 0) trials.push_back(entry);
  }
  const Costs costs = costs_of(trials, runs);
  // Runs before the first partner cost nothing: begin where the rest costs least, and latest.
  std::size_t j = 0;
  for (std::size_t first = 0; first <= runs.size(); ++first) {
    if (costs[0][first] <= costs[0][j]) j = first;
  }
  std::vector<LogDoubt> doubts;
  std::size_t i = 0;
  while (i < trials.size() || j < runs.size()) {
    if (i < trials.size() && j < runs.size() &&
        costs[i][j] == cost_of(trials[i], runs[j]) + costs[i + 1][j + 1]) {
      add_differences(doubts, trials[i++], runs[j++]);
    } else if (i < trials.size() && costs[i][j] == cost_unnoted(trials[i]) + costs[i + 1][j]) {
      if (cost_unnoted(trials[i]) > 0) {
        doubts.push_back(
            {std::nullopt, trials[i].number, "No run is noted for " + entry_words(trials[i])});
      }
      ++i;
    } else {
      doubts.push_back({runs[j].row, std::nullopt,
                        fmt::format("The run of line {} is not in the robot's log", runs[j].row)});
      ++j;
    }
  }
  return doubts;
}

}  // namespace runtrue
