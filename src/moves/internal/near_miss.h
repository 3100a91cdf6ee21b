// What a person most likely meant by a mistyped word.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace runtrue::moves_internal {

// Letters to add, drop, change or swap with their neighbour to get from one word to the other
// (optimal string alignment distance), counted in bytes.
[[nodiscard]] int spelling_distance(std::string_view a, std::string_view b);

// The candidate nearest to the word if it is near enough to be meant: one slip for words of up to 5
// letters, two for longer ones; else "". The first of equals. Words of over 80 bytes are near
// nothing.
[[nodiscard]] std::string near_miss(std::string_view word,
                                    const std::vector<std::string_view>& candidates);

}  // namespace runtrue::moves_internal
