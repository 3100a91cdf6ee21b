// Join codes and cookie values from the operating system's random source.
//
// The only place of the project that takes chance from outside: whoever could guess a seed could
// join a set. Nothing simulated or forecast may use it.
#pragma once

#include <string>
#include <string_view>

namespace runtrue {

// Six characters without look-alikes (no 0 O 1 I L 5 S 2 Z 8 B), to be read off a screen and typed:
// 25^6, about 244 million.
[[nodiscard]] std::string new_join_code();
inline constexpr int kJoinCodeLength = 6;

// 128 bits as 32 hexadecimal digits.
[[nodiscard]] std::string new_token();

// Compares in a time that depends on the lengths alone.
[[nodiscard]] bool same_secret(std::string_view a, std::string_view b);

}  // namespace runtrue
