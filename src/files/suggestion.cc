#include "files/suggestion.h"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace runtrue {
namespace {

// Letters to change, swap with a neighbour, leave out or put in (restricted edit distance).
std::size_t slips_between(std::string_view a, std::string_view b) {
  std::vector<std::vector<std::size_t>> slips(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i) {
    for (std::size_t j = 0; j <= b.size(); ++j) {
      if (i == 0 || j == 0) {
        slips[i][j] = i + j;
        continue;
      }
      const std::size_t change = slips[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      slips[i][j] = std::min({slips[i - 1][j] + 1, slips[i][j - 1] + 1, change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        slips[i][j] = std::min(slips[i][j], slips[i - 2][j - 2] + 1);
      }
    }
  }
  return slips[a.size()][b.size()];
}

constexpr std::size_t kLongestWord = 64;  // nobody mistypes a longer one

}  // namespace

std::string did_you_mean(std::string_view word, std::span<const std::string_view> known) {
  if (word.empty() || word.size() > kLongestWord) return {};
  std::string_view nearest;
  std::size_t least = word.size() + kLongestWord;
  for (const std::string_view candidate : known) {
    const bool start = candidate.starts_with(word) || word.starts_with(candidate);
    const std::size_t slips = start ? 1 : slips_between(word, candidate);
    const bool near = start || 3 * slips <= std::max(word.size(), candidate.size());
    if (near && slips < least) {
      least = slips;
      nearest = candidate;
    }
  }
  if (nearest.empty()) return {};
  return ", did you mean '" + std::string(nearest) + "'?";
}

std::string quotable(std::string_view text) {
  constexpr int kMost = 40;
  int characters = 0;
  for (std::size_t at = 0; at < text.size(); ++at) {
    const bool starts_one = (static_cast<unsigned char>(text[at]) & 0xC0U) != 0x80U;
    if (starts_one && ++characters > kMost) return std::string(text.substr(0, at)) + "...";
  }
  return std::string(text);
}

}  // namespace runtrue
