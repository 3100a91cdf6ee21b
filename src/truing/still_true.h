// Is it still true? Check runs before class against what truing said, and what to do.
//
// A check is one straight at the settings' trim and the usual level. A single one tells a jump: it
// lies further off than a run of this robot ever should. Several together tell a slow drift that
// each alone hides, by their moving average [NistPm1 6.3.2.4]. One robot that changed has a cause
// of its own; most robots of a set changing at once have a shared one (floor, batteries).
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "drive/robot.h"
#include "truing/run.h"
#include "truing/truing.h"
#include "units/result.h"

namespace runtrue {

enum class CheckWord { kStillTrue, kJumped, kDrifting };
[[nodiscard]] const char* word_of(CheckWord word);  // "still-true" "jumped" "drifting"

struct CheckOutcome {
  CheckWord word = CheckWord::kStillTrue;
  std::string sentence;  // what is so and what to do
  // Of every check, in their order: drift in mm/m, and the moving average after it.
  std::vector<double> drifts_mm_per_m;
  std::vector<double> averages_mm_per_m;
  double expected_mm_per_m = 0.0;
  double jump_limit_mm_per_m = 0.0;     // a single check further off than this has jumped
  double average_limit_mm_per_m = 0.0;  // an average further off than this is a drift
  std::optional<std::size_t> since;     // the check from which on it changed
};

// Errors (bad input): a robot without straight runs; no check; a check that is no straight with a
// line, or at another trim or level than the settings, naming its row.
[[nodiscard]] Result<CheckOutcome> check_robot_runs(const Robot& robot, const Truing& truing,
                                                    std::span<const Run> checks);

// A sentence on the set when at least three robots were checked and more than half of them changed;
// else nothing.
[[nodiscard]] std::optional<std::string> shared_cause(std::span<const CheckOutcome> outcomes);

}  // namespace runtrue
