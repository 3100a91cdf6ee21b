// Quotes what a person wrote and names the word that was probably meant.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace runtrue {

// ", did you mean 'track_width_mm'?" for the nearest of `known`, or "" where none is near. Near: at
// most a third of the letters wrong, swapped, missing or too many; or one the start of the other.
[[nodiscard]] std::string did_you_mean(std::string_view word,
                                       std::span<const std::string_view> known);

// Its first 40 characters, with "..." behind them if it has more: for quoting in a message.
[[nodiscard]] std::string quotable(std::string_view text);

}  // namespace runtrue
