#include "moves/internal/line_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>

#include "units/spelling.h"
#include "units/typed.h"

namespace runtrue::moves_internal {
namespace {

constexpr std::array<std::string_view, 10> kBeginnings{"drive", "reverse", "turn", "bend", "pause",
                                                       "at",    "part",    "do",   "end",  "times"};
constexpr std::array<std::string_view, 2> kSides{"left", "right"};
constexpr std::array<std::string_view, 4> kOtherWords{"left", "right", "radius", "level"};

struct Meant {
  std::string_view written, meant;
};
// Plain words for the same thing that no spelling distance finds.
constexpr std::array<Meant, 13> kOtherBeginnings{{{"forward", "drive"},
                                                  {"forwards", "drive"},
                                                  {"straight", "drive"},
                                                  {"go", "drive"},
                                                  {"back", "reverse"},
                                                  {"backward", "reverse"},
                                                  {"backwards", "reverse"},
                                                  {"left", "turn left"},
                                                  {"right", "turn right"},
                                                  {"curve", "bend"},
                                                  {"wait", "pause"},
                                                  {"stop", "pause"},
                                                  {"level", "at level"}}};
constexpr std::array<Meant, 22> kOtherUnits{
    {{"millimetre", "mm"},  {"millimetres", "mm"}, {"centimetre", "cm"}, {"centimetres", "cm"},
     {"metre", "m"},        {"metres", "m"},       {"meter", "m"},       {"meters", "m"},
     {"inch", "in"},        {"inches", "in"},      {"\"", "in"},         {"degree", "deg"},
     {"degrees", "deg"},    {"\xC2\xB0", "deg"},   {"\xC2\xBA", "deg"},  {"sec", "s"},
     {"secs", "s"},         {"second", "s"},       {"seconds", "s"},     {"msec", "ms"},
     {"millisecond", "ms"}, {"milliseconds", "ms"}}};

template <std::size_t n>
std::string_view find_meant(const std::array<Meant, n>& table, std::string_view word) {
  for (const Meant& entry : table) {
    if (entry.written == word) return entry.meant;
  }
  return {};
}

// To 15 digits, so that 3 in is 76.2 mm and every number is written as it was read.
double rounded(double value) {
  const std::string text = fmt::format("{:.15g}", value);
  double answer = 0.0;
  std::from_chars(text.data(), text.data() + text.size(), answer);
  return answer;
}

// 1,500 is one and a half to one reader and fifteen hundred to the next.
bool is_ambiguous(std::string_view digits) {
  const auto comma = digits.find(',');
  if (comma == std::string_view::npos || digits.size() - comma != 4) return false;
  std::string_view whole = digits.substr(0, comma);
  if (whole.starts_with('+') || whole.starts_with('-')) whole.remove_prefix(1);
  return !whole.empty() && whole.size() <= 3 && whole[0] != '0';
}

}  // namespace

bool is_language_word(std::string_view word) {
  return std::find(kBeginnings.begin(), kBeginnings.end(), word) != kBeginnings.end() ||
         std::find(kOtherWords.begin(), kOtherWords.end(), word) != kOtherWords.end();
}

std::string meant_beginning(std::string_view word) {
  if (const std::string_view other = find_meant(kOtherBeginnings, word); !other.empty()) {
    return std::string(other);
  }
  return std::string(near_miss(word, kBeginnings));
}

std::string unknown_move(const Word& word, std::string_view meant) {
  const std::string start = fmt::format("'{}' is not a move", quotable(word.text));
  const std::string written = lower(word.text);
  if (written == "repeat" || written == "loop") {
    return start + ", expected how often first, as in '4 times'";
  }
  if (written == "times") {
    return "nothing says how many times, expected a whole number first, as in '4 times'";
  }
  if (!meant.empty()) return start + fmt::format("; did you mean '{}'?", meant);
  return start +
         ", expected drive, reverse, turn, bend, pause, at, do, part, end or a number of "
         "times";
}

tl::unexpected<Error> LineReader::fault(std::string message, int column) const {
  return bad_input(std::move(message), {"", line_.number, column});
}

std::string LineReader::peek() const {
  return at_end() ? std::string() : lower(line_.words[next_].text);
}

Result<LineReader::Measure> LineReader::measure(std::string_view behind, const Wanted& wanted) {
  if (at_end()) {
    return fault(fmt::format("nothing follows '{}', expected {}", behind, wanted.example),
                 line_.end_column);
  }
  const Word word = take();
  const auto digits_end = std::min(word.text.find_first_not_of("+-.,0123456789"), word.text.size());
  const std::string_view digits = word.text.substr(0, digits_end);
  std::string_view unit = word.text.substr(digits_end);
  const auto value = typed_number(digits);
  if (digits.empty() || !value) {
    return fault(
        fmt::format("'{}' is not a number, expected {}", quotable(word.text), wanted.example),
        word.column);
  }
  if (is_ambiguous(digits)) {
    std::string point(digits), none(digits);
    point[digits.find(',')] = '.';
    none.erase(digits.find(','), 1);
    return fault(fmt::format("'{}' can be read in two ways, expected {} or {}", quotable(digits),
                             quotable(point), quotable(none)),
                 word.column);
  }
  int unit_column = word.column + characters(digits);
  if (unit.empty()) {
    if (at_end()) {
      return fault(fmt::format("{} has no unit, expected {}", quotable(digits), wanted.units),
                   unit_column);
    }
    const Word next = take();
    unit = next.text;
    unit_column = next.column;
  }
  const std::string small = lower(unit);
  Measure measure{Kind::kLength, *value, word.column, quotable(digits, 20) + " " + small};
  bool fits = wanted.length;
  if (small == "cm") {
    measure.value *= 10.0;
  } else if (small == "m") {
    measure.value *= 1000.0;
  } else if (small == "in") {
    measure.value *= 25.4;
  } else if (small == "deg") {
    measure.kind = Kind::kAngle;
    fits = wanted.angle;
  } else if (small == "s" || small == "ms") {
    measure.kind = Kind::kTime;
    if (small == "ms") measure.value /= 1000.0;
    fits = wanted.time;
  } else if (small != "mm") {
    const std::string_view meant = find_meant(kOtherUnits, small);
    const std::string start = fmt::format("'{}' is not a unit", quotable(unit));
    if (!meant.empty()) {
      return fault(start + fmt::format(" here; did you mean '{}'?", meant), unit_column);
    }
    return fault(start + fmt::format(", expected {}", wanted.units), unit_column);
  }
  if (!fits) {
    return fault(fmt::format("'{}' does not fit '{}', expected {}", small, behind, wanted.units),
                 unit_column);
  }
  measure.value = rounded(measure.value);
  return in_range(std::move(measure), behind);
}

Result<LineReader::Measure> LineReader::in_range(Measure measure, std::string_view behind) const {
  if (measure.value < 0.0) {
    std::string_view other;
    if (behind == "drive") other = "; to go backward write 'reverse'";
    if (behind == "reverse") other = "; to go forward write 'drive'";
    if (behind == "turn left" || behind == "bend left")
      other = "; for the other side write 'right'";
    if (behind == "turn right" || behind == "bend right") {
      other = "; for the other side write 'left'";
    }
    return fault(
        fmt::format("{} is less than nothing, expected a number above 0{}", measure.written, other),
        measure.column);
  }
  const auto checked = [&](bool low, bool high, std::string_view range) -> Result<Measure> {
    if (!low && !high) return measure;
    return fault(
        fmt::format("{} is too {}, expected {}", measure.written, low ? "little" : "much", range),
        measure.column);
  };
  switch (measure.kind) {
    case Kind::kLength:
      return checked(measure.value<kShortestLength.mm(), measure.value> kLongestLength.mm(),
                     "0.1 mm to 100 m");
    case Kind::kAngle:
      return checked(measure.value<0.01, measure.value> 36000.0, "0.01 deg to 36000 deg");
    case Kind::kTime:
      break;
  }
  return checked(measure.value<kShortestTime.s(), measure.value> kLongestTime.s(),
                 "1 ms to 3600 s");
}

Result<Length> LineReader::length(std::string_view behind) {
  RUNTRUE_TRY(const Measure read,
              measure(behind, {"a length, as in 150 mm", "mm, cm, m or in", true, false, false}));
  return Length::from_mm(read.value);
}

Result<Angle> LineReader::angle(std::string_view behind) {
  RUNTRUE_TRY(const Measure read,
              measure(behind, {"an angle, as in 90 deg", "deg", false, true, false}));
  return Angle::from_deg(read.value);
}

Result<Duration> LineReader::time(std::string_view behind) {
  RUNTRUE_TRY(const Measure read,
              measure(behind, {"a time, as in 1.5 s or 250 ms", "s or ms", false, false, true}));
  return Duration::from_s(read.value);
}

Result<Extent> LineReader::extent(std::string_view behind) {
  RUNTRUE_TRY(
      const Measure read,
      measure(behind, {"a length or a time, as in 300 mm or 1.5 s",
                       "mm, cm, m or in for a length, s or ms for a time", true, false, true}));
  Extent extent;
  if (read.kind == Kind::kLength) extent.length = Length::from_mm(read.value);
  if (read.kind == Kind::kTime) extent.time = Duration::from_s(read.value);
  return extent;
}

Result<TurnExtent> LineReader::turn_extent(std::string_view behind) {
  RUNTRUE_TRY(const Measure read,
              measure(behind, {"an angle or a time, as in 90 deg or 1.5 s",
                               "deg for an angle, s or ms for a time", false, true, true}));
  TurnExtent extent;
  if (read.kind == Kind::kAngle) extent.angle = Angle::from_deg(read.value);
  if (read.kind == Kind::kTime) extent.time = Duration::from_s(read.value);
  return extent;
}

Result<Side> LineReader::side(std::string_view behind) {
  if (at_end()) {
    return fault(fmt::format("nothing follows '{}', expected left or right", behind),
                 line_.end_column);
  }
  const std::string small = peek();
  const Word word = take();
  if (small == "left") return Side::kLeft;
  if (small == "right") return Side::kRight;
  const std::string_view meant = near_miss(small, kSides);
  const std::string start = fmt::format("'{}' is not a side", quotable(word.text));
  if (!meant.empty()) return fault(start + fmt::format("; did you mean '{}'?", meant), word.column);
  return fault(start + fmt::format(", expected left or right behind '{}'", behind), word.column);
}

Result<int> LineReader::whole_number(std::string_view behind, std::string_view what, int lowest,
                                     int highest) {
  if (at_end()) {
    return fault(
        fmt::format("nothing follows '{}', expected {}, {} to {}", behind, what, lowest, highest),
        line_.end_column);
  }
  const Word word = take();
  int value = 0;
  const char* last = word.text.data() + word.text.size();
  const auto [stop, code] = std::from_chars(word.text.data(), last, value);
  if (code != std::errc() || stop != last || value < lowest || value > highest) {
    return fault(fmt::format("'{}' is not {}, expected {} to {}", quotable(word.text), what, lowest,
                             highest),
                 word.column);
  }
  return value;
}

Result<void> LineReader::keyword(std::string_view expected, std::string_view behind,
                                 std::string_view example) {
  if (at_end()) {
    return fault(
        fmt::format("nothing follows '{}', expected '{}', as in '{}'", behind, expected, example),
        line_.end_column);
  }
  const std::string small = peek();
  const Word word = take();
  if (small == expected) return {};
  if (!near_miss(small, {&expected, 1}).empty()) {
    return fault(fmt::format("'{}' is not a word of a move; did you mean '{}'?",
                             quotable(word.text), expected),
                 word.column);
  }
  return fault(fmt::format("'{}' stands here, expected '{}', as in '{}'", quotable(word.text),
                           expected, example),
               word.column);
}

Result<Word> LineReader::name(std::string_view behind) {
  if (at_end()) {
    return fault(fmt::format("nothing follows '{}', expected the name of a part, as in '{} petal'",
                             behind, behind),
                 line_.end_column);
  }
  const std::string small = peek();
  const Word word = take();
  if (is_language_word(small)) {
    return fault(fmt::format("'{}' is a word of the language, expected another name for the part",
                             word.text),
                 word.column);
  }
  if (characters(word.text) > kLongestName) {
    return fault(fmt::format("'{}' is too long for a name, expected at most {} characters",
                             quotable(word.text), kLongestName),
                 word.column);
  }
  return word;
}

Result<void> LineReader::end(std::string_view behind) {
  if (at_end()) return {};
  const Word& word = line_.words[next_];
  return fault(fmt::format("'{}' is too much behind '{}', expected the end of the line or a # "
                           "comment",
                           quotable(word.text), behind),
               word.column);
}

}  // namespace runtrue::moves_internal
