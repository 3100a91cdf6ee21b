// JSON values that know where in the text they stand, and a reader of objects that says in one line
// what is wrong with one.
//
// Every JSON file and request body of the project is read through this, so that an error in a value
// names its line and column just as an error in the syntax does. Syntax is RFC 8259 without
// extensions; keys may not be there twice; nesting is limited to 64; numbers must fit a double.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "units/result.h"

namespace runtrue {

struct PlacedMember;

struct PlacedJson {
  enum class Kind { kNull, kBoolean, kNumber, kText, kList, kObject };
  Kind kind = Kind::kNull;
  bool boolean = false;
  double number = 0.0;
  std::string text;
  std::vector<PlacedJson> items;      // of a list
  std::vector<PlacedMember> members;  // of an object, in the order of the text
  int line = 0;
  int column = 0;

  // The member of that key, or null where this is no object or has none.
  [[nodiscard]] const PlacedJson* find(std::string_view key) const;
  [[nodiscard]] Place place() const { return {{}, line, column}; }
};

struct PlacedMember {
  std::string key;
  PlacedJson value;
  int line = 0;  // of the key
  int column = 0;
};

// Errors (bad input, with line and column): not UTF-8, not JSON, a key twice in one object, a zero
// character in a text, nested too deep, a number too large.
[[nodiscard]] Result<PlacedJson> parse_json(std::string_view text);

// The value that a message of a check_... function speaks of: the message begins with the value's
// name as in the file ("press.step_mm is 0, expected ...", "obstacles[1].radius_mm ..."). The place
// of the deepest part of that name that is there.
[[nodiscard]] Place place_of_named(const PlacedJson& root, std::string_view message);

// Reads the members of one object. Every question names a key; the first thing that is wrong is
// kept and told by `finish`, which also refuses keys nobody asked for. Until then a wrong or
// missing value answers as if it were absent, so a caller may ask on and check once:
//
//   ObjectReader object(value);
//   robot.name = object.text("name").value_or("");
//   if (auto r = object.finish(); !r) return tl::unexpected(r.error());
class ObjectReader {
 public:
  // `what` is said where `value` is no object: "expected a robot's description in {}".
  explicit ObjectReader(const PlacedJson& value, std::string_view what = "an object");

  // Absent where the key is missing (an error if `required`) or, with an error, of another kind.
  enum class Need { kRequired, kOptional };
  const PlacedJson* any(std::string_view key, Need need = Need::kOptional);
  std::optional<double> number(std::string_view key, Need need = Need::kOptional);
  std::optional<std::int64_t> whole_number(std::string_view key, Need need = Need::kOptional);
  std::optional<std::string> text(std::string_view key, Need need = Need::kOptional);
  std::optional<bool> boolean(std::string_view key, Need need = Need::kOptional);
  const PlacedJson* list(std::string_view key, Need need = Need::kOptional);
  const PlacedJson* object(std::string_view key, Need need = Need::kOptional);

  // Records an error found by the caller; the first one stays.
  void fail(Error error);
  // Records the error of a result and answers its value, if it has one.
  template <class T>
  std::optional<T> take(Result<T> result) {
    if (result) return std::move(*result);
    fail(std::move(result).error());
    return std::nullopt;
  }

  // Bad input with place, or nothing. An unknown key is told before anything else: a misspelt key
  // also leaves another one missing.
  [[nodiscard]] Result<void> finish();

 private:
  const PlacedJson* of_kind(std::string_view key, Need need, PlacedJson::Kind kind,
                            std::string_view expected);

  const PlacedJson& value_;
  std::vector<std::string> asked_;
  std::optional<Error> error_;
};

}  // namespace runtrue
