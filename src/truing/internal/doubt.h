// Which runs don't fit the rest, and what slip of the pen would make them fit.
#pragma once

#include <span>
#include <vector>

#include "truing/internal/speeds.h"
#include "truing/internal/straights.h"
#include "truing/truing.h"

namespace runtrue::internal {

// Straights that are read otherwise than noted with a probability over 40 %, and timed runs more
// than 3.5 sd off. Ascending rows, each once.
[[nodiscard]] std::vector<DoubtfulRun> doubtful_runs(
    const Robot& robot, std::span<const Run> runs,
    std::span<const StraightObservation> observations, const StraightPosterior& posterior,
    const SpeedFit& speeds);

}  // namespace runtrue::internal
