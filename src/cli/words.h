// What the answers in words share: aligned rows, wrapped sentences, certainty, cautions.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "drive/settings.h"

namespace runtrue {

// Cautions, each shown where the hand is about to act; the same words stand on page and paper.
inline constexpr std::string_view kBeforeARun =
    "Before a run: unplug the cable and clear the floor of feet and cups. A hand near the robot on "
    "a first run.";
inline constexpr std::string_view kWhileLoading =
    "While loading keep the wheels clear of the bench: they may start without warning. Unplug "
    "before a run. Local rules come first.";

// A paragraph broken at blanks before column 80, every line `indent` blanks in, ended by a line
// break; "" stays "".
[[nodiscard]] std::string paragraph(std::string_view text, std::size_t indent = 0);

// Rows of cells, two blanks before the first and between columns; the first column and every column
// of words to the left, columns of numbers to the right. Ended by a line break.
[[nodiscard]] std::string rows_text(const std::vector<std::vector<std::string>>& rows);

// "over 99 %", "under 1 %", "63 %": a probability never said to be none or all.
[[nodiscard]] std::string percent_words(double probability);

// "12 to the right" of a drift in mm, "0" where it is nothing.
[[nodiscard]] std::string side_words(double mm);

// "No run tells of these yet, so they are assumed: ...", or "" where there are none.
[[nodiscard]] std::string assumed_words(const DriveSettings& settings);

}  // namespace runtrue
