// The result type of everything that can fail on what a person gives it, and the one-line error it
// carries.
//
// Three kinds of failure, three tools: a bug is an always-on RUNTRUE_CHECK; bad input is a
// `Result`; a broken environment (disk, socket, database) is translated to `Result` at the edge
// that meets it. No exception crosses a domain's border.
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <utility>

namespace runtrue {

// Where in a person's input: a file (or "-" for standard input, or the name of a field), line and
// column from 1; 0 means "not known".
struct Place {
  std::string file;
  int line = 0;
  int column = 0;
};

// What kind of trouble, for callers that answer differently (exit codes, HTTP status). The text is
// for people.
enum class ErrorKind {
  kBadInput,     // what was typed or read cannot be used; the message says what was expected
  kNotFound,     // a file, robot, table or list of that name is not there
  kConflict,     // someone else changed it in between, or it is there already
  kEnvironment,  // disk, database, socket, permission
};

struct Error {
  ErrorKind kind = ErrorKind::kBadInput;
  std::string message;  // "what is so, and what was expected", without place, without full stop
  Place place;

  // `FILE:LINE:COLUMN: message` with unknown parts left out; one line, whatever the message holds.
  [[nodiscard]] std::string one_line() const;
  // The same error said to lie in `file` where none is named yet.
  [[nodiscard]] Error in_file(std::string_view file) &&;
};

template <class T>
using Result = tl::expected<T, Error>;

// Makes the failing side of a Result.
[[nodiscard]] tl::unexpected<Error> bad_input(std::string message, Place place = {});
[[nodiscard]] tl::unexpected<Error> failure(ErrorKind kind, std::string message, Place place = {});

namespace internal {
[[noreturn]] void check_failed(const char* expression, const char* file, int line);
}  // namespace internal

}  // namespace runtrue

// Leaves the function with the error of `expression`, or stores its value: RUNTRUE_TRY(auto robot,
// read_robot(path));
#define RUNTRUE_TRY(declaration, expression) \
  RUNTRUE_TRY_NAMED(declaration, expression, RUNTRUE_JOIN(runtrue_try_, __LINE__))
#define RUNTRUE_TRY_NAMED(declaration, expression, name)     \
  auto name = (expression);                                  \
  if (!name) return tl::unexpected(std::move(name).error()); \
  declaration = *std::move(name)
#define RUNTRUE_JOIN(a, b) RUNTRUE_JOIN_TWO(a, b)
#define RUNTRUE_JOIN_TWO(a, b) a##b

// A bug if false: prints the expression and aborts, in every build.
#define RUNTRUE_CHECK(condition) \
  ((condition) ? void() : ::runtrue::internal::check_failed(#condition, __FILE__, __LINE__))
