// Names the word that was probably meant, at the end of a message.
#pragma once

#include <span>
#include <string>
#include <string_view>

namespace runtrue {

// ", did you mean 'track_width_mm'?" for the nearest of `known`: one that is the start of the word
// or begins with it, else its near miss (units/spelling.h). "" where there is none.
[[nodiscard]] std::string did_you_mean(std::string_view word,
                                       std::span<const std::string_view> known);

}  // namespace runtrue
