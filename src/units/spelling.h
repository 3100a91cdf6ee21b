// What messages need when they quote what a person wrote: a short form of it, and the word that was
// probably meant.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace runtrue {

// The one of `known` nearest to `word` if it is near enough to be meant, else "". Near: at most a
// third of the letters to change, swap with a neighbour, leave out or put in (the restricted edit
// distance, in bytes). The first of equals. An empty word and words of over 64 bytes are near
// nothing.
[[nodiscard]] std::string_view near_miss(std::string_view word,
                                         std::span<const std::string_view> known);

// The first `most` characters of a UTF-8 text, with "..." behind them if it has more.
[[nodiscard]] std::string quotable(std::string_view text, int most = 40);

}  // namespace runtrue
