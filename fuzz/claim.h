// What every fuzz target holds its reader to.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

#include "units/result.h"

// The entry that libFuzzer and the replay both call.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace runtrue {

inline std::string_view text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

// A refusal is bad input, one line that says where and what, and not longer than a person reads,
// whatever it quotes.
inline void claim_clear(const Error& error, std::string_view file) {
  constexpr std::size_t kLongestLine = 600;  // names of 40 characters at up to 4 bytes, three times
  const std::string line = error.one_line();
  RUNTRUE_CHECK(error.kind == ErrorKind::kBadInput);
  RUNTRUE_CHECK(!error.message.empty());
  RUNTRUE_CHECK(error.place.file == file);
  RUNTRUE_CHECK(error.place.line >= 1);
  RUNTRUE_CHECK(error.place.column >= 1);
  RUNTRUE_CHECK(line.find_first_of("\r\n") == std::string::npos);
  RUNTRUE_CHECK(line.size() <= kLongestLine);
}

}  // namespace runtrue
