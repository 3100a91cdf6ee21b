#include "files/suggestion.h"

#include <algorithm>

#include "units/spelling.h"

namespace runtrue {

std::string did_you_mean(std::string_view word, std::span<const std::string_view> known) {
  std::string_view meant = near_miss(word, known);
  if (meant.empty() && !word.empty()) {
    const auto begun = std::find_if(known.begin(), known.end(), [&](std::string_view candidate) {
      return candidate.starts_with(word) || word.starts_with(candidate);
    });
    if (begun != known.end()) meant = *begun;
  }
  if (meant.empty()) return {};
  return ", did you mean '" + std::string(meant) + "'?";
}

}  // namespace runtrue
