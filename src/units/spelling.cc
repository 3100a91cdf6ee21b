#include "units/spelling.h"

#include <algorithm>
#include <cstddef>
#include <vector>

namespace runtrue {
namespace {

constexpr std::size_t kLongestWord = 64;  // nobody mistypes a longer one

std::size_t slips_between(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      now[j] = std::min({last[j] + 1, now[j - 1] + 1, change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
        now[j] = std::min(now[j], before[j - 2] + 1);
      }
    }
    std::swap(before, last);
    std::swap(last, now);
  }
  return last[b.size()];
}

}  // namespace

std::string_view near_miss(std::string_view word, std::span<const std::string_view> known) {
  if (word.empty() || word.size() > kLongestWord) return {};
  std::string_view nearest;
  std::size_t least = word.size() + kLongestWord;
  for (const std::string_view candidate : known) {
    if (candidate.size() > kLongestWord) continue;
    const std::size_t slips = slips_between(word, candidate);
    if (3 * slips <= std::max(word.size(), candidate.size()) && slips < least) {
      least = slips;
      nearest = candidate;
    }
  }
  return nearest;
}

std::string quotable(std::string_view text, int most) {
  int characters = 0;
  for (std::size_t at = 0; at < text.size(); ++at) {
    const bool starts_one = (static_cast<unsigned char>(text[at]) & 0xC0U) != 0x80U;
    if (starts_one && ++characters > most) return std::string(text.substr(0, at)) + "...";
  }
  return std::string(text);
}

}  // namespace runtrue
