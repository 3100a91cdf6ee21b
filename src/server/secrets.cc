#include "server/secrets.h"

#include <sys/random.h>

#include <array>
#include <cstddef>

#include "units/result.h"

namespace runtrue {
namespace {

constexpr std::string_view kCodeLetters = "ACDEFGHJKMNPQRTUVWXY34679";
static_assert(kCodeLetters.size() == 25);

unsigned char random_byte() {
  unsigned char byte = 0;
  // Requests of up to 256 bytes are never cut short or interrupted once the source is ready.
  RUNTRUE_CHECK(getrandom(&byte, 1, 0) == 1);
  return byte;
}

}  // namespace

std::string new_join_code() {
  std::string code;
  while (code.size() < static_cast<std::size_t>(kJoinCodeLength)) {
    const unsigned char byte = random_byte();
    if (byte >= 250) continue;  // 250 = 10·25: every letter stays equally likely
    code += kCodeLetters[byte % kCodeLetters.size()];
  }
  return code;
}

std::string new_token() {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string token;
  for (int i = 0; i < 16; ++i) {
    const unsigned char byte = random_byte();
    token += kDigits[byte >> 4U];
    token += kDigits[byte & 15U];
  }
  return token;
}

bool same_secret(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  unsigned difference = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const auto left = static_cast<unsigned char>(a[i]);
    const auto right = static_cast<unsigned char>(b[i]);
    difference |= static_cast<unsigned>(left ^ right);
  }
  return difference == 0;
}

}  // namespace runtrue
