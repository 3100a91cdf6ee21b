// What a robot says it ran against what a person noted, so that a reading typed beside the wrong
// run, a trim that was never set and a run that was forgotten show.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "robot/run_log.h"
#include "truing/run.h"

namespace runtrue {

struct LogDoubt {
  std::optional<int> row;     // Run::row; nothing where no run is noted for it
  std::optional<int> number;  // of the log's entry; nothing where it never ran
  std::string sentence;
};

// Lays the log's trials beside the runs noted last, both in the order they were made, so that the
// fewest things differ (dynamic programming; a thing each: kind, level, trim, side of a turn, time
// by over 50 ms, battery by over 0.3 V; two for a run or a finished trial that has no partner,
// nothing for runs before the first partner, which are older than the log). In the log's order.
[[nodiscard]] std::vector<LogDoubt> compare_with_log(std::span<const robot::LogEntry> log,
                                                     std::span<const Run> runs);

}  // namespace runtrue
