#include "moves/internal/near_miss.h"

#include <algorithm>
#include <array>

namespace runtrue::moves_internal {
namespace {
constexpr std::size_t kLongestWord = 80;
}  // namespace

int spelling_distance(std::string_view a, std::string_view b) {
  std::vector<int> before(b.size() + 1), last(b.size() + 1), now(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    now[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const int change = last[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
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

std::string near_miss(std::string_view word, const std::vector<std::string_view>& candidates) {
  if (word.size() > kLongestWord) return {};
  std::string_view best;
  int best_distance = word.size() <= 5 ? 2 : 3;  // one more than is near enough
  for (const std::string_view candidate : candidates) {
    if (candidate.size() > kLongestWord) continue;
    const int distance = spelling_distance(word, candidate);
    if (distance < best_distance && distance < static_cast<int>(candidate.size())) {
      best = candidate;
      best_distance = distance;
    }
  }
  return std::string(best);
}

}  // namespace runtrue::moves_internal
