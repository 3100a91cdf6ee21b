// Plain words made from a forecast's numbers: what is so and what to do next, for page, terminal
// and paper.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "forecast/forecast.h"
#include "forecast/remedies.h"

namespace runtrue {

// "about 1 time in 12 (5 to 14 %)"; "under 1 time in 3300 (0 of 10000 tries)"; "every time, as far
// as 200 tries can tell". Never "0 %" and never "100 %": the interval says how much is known.
[[nodiscard]] std::string chance_words(const Probability& probability, int samples);

// "x 300 mm, y 200 mm, heading 90 deg", whole numbers, the heading within [-180, 180).
[[nodiscard]] std::string pose_words(const Pose& pose);

// Two or three short sentences, of the robot alone: "Dunlin falls about 1 time in 12 (5 to 14 %),
// first in move 3, turn left 90 deg. Start it at x 300 mm, y 200 mm, heading 90 deg: there it comes
// to grief under 1 time in 3300." `moves` are those the forecast was made of; `safest` may be left
// out, or be no better, and then isn't named.
[[nodiscard]] std::string sentence_of(const Robot& robot, const std::vector<CompiledMove>& moves,
                                      const Forecast& forecast,
                                      const std::optional<SafeStart>& safest = std::nullopt);

// What would help, each a short sentence: "At 72 % of its size it stays on." "No slower level keeps
// it on." "4 more turns to the left at level 128 would help most: with that it goes
// wrong about 1 time in 40 (2.1 to 3 %)." None of a list without moves.
[[nodiscard]] std::vector<std::string> remedy_words(const Remedies& remedies);

// "ends 14 mm from its start in the median, within 40 mm 95 times in 100": of a list that closes.
[[nodiscard]] std::string closing_words(const ClosingError& closing);

}  // namespace runtrue
