#include "units/result.h"

#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>

namespace runtrue {

std::string Error::one_line() const {
  std::string line;
  if (!place.file.empty()) line += place.file + ":";
  if (place.line > 0) line += fmt::format("{}:", place.line);
  if (place.line > 0 && place.column > 0) line += fmt::format("{}:", place.column);
  if (!line.empty()) line += " ";
  line += message;
  for (char& c : line) {
    if (c == '\n' || c == '\r' || c == '\t') c = ' ';
  }
  return line;
}

Error Error::in_file(std::string_view file) && {
  if (place.file.empty()) place.file = file;
  return std::move(*this);
}

tl::unexpected<Error> bad_input(std::string message, Place place) {
  return failure(ErrorKind::kBadInput, std::move(message), std::move(place));
}

tl::unexpected<Error> failure(ErrorKind kind, std::string message, Place place) {
  return tl::unexpected(Error{kind, std::move(message), std::move(place)});
}

namespace internal {
void check_failed(const char* expression, const char* file, int line) {
  fmt::print(stderr, "{}:{}: this must hold but does not: {}\n", file, line, expression);
  std::abort();
}
}  // namespace internal

}  // namespace runtrue
