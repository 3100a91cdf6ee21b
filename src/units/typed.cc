#include "units/typed.h"

#include <fmt/format.h>

#include <charconv>
#include <string>

namespace runtrue {
namespace {

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r") - first + 1);
}

struct NumberAndUnit {
  double number = 0.0;
  std::string_view unit;
};

Result<NumberAndUnit> split(std::string_view text, std::string_view expected) {
  text = trimmed(text);
  if (text.empty()) return bad_input(fmt::format("nothing is written here; expected {}", expected));
  const auto length = text.find_first_not_of("+-.,0123456789");
  std::string digits(text.substr(0, length));
  for (char& c : digits) {
    if (c == ',') c = '.';
  }
  const char* first = digits.data() + (digits.starts_with('+') ? 1 : 0);
  const char* last = digits.data() + digits.size();
  NumberAndUnit answer;
  const auto [end, code] = std::from_chars(first, last, answer.number, std::chars_format::fixed);
  if (code != std::errc() || end != last || (first != digits.data() && *first == '-')) {
    return bad_input(fmt::format("'{}' is not {}", text, expected));
  }
  if (length != std::string_view::npos) answer.unit = trimmed(text.substr(length));
  return answer;
}

}  // namespace

Result<double> typed_number(std::string_view text) {
  RUNTRUE_TRY(const auto parts, split(text, "a number"));
  if (!parts.unit.empty()) return bad_input(fmt::format("'{}' is not a number", trimmed(text)));
  return parts.number;
}

Result<Length> typed_length(std::string_view text) {
  RUNTRUE_TRY(const auto parts, split(text, "a length such as 300 mm or 30 cm"));
  if (parts.unit.empty() || parts.unit == "mm") return Length::from_mm(parts.number);
  if (parts.unit == "cm") return Length::from_cm(parts.number);
  if (parts.unit == "m") return Length::from_m(parts.number);
  if (parts.unit == "in") return Length::from_in(parts.number);
  return bad_input(
      fmt::format("'{}' is not a unit of length; expected mm, cm, m or in", parts.unit));
}

Result<Angle> typed_angle(std::string_view text) {
  RUNTRUE_TRY(const auto parts, split(text, "an angle such as 90 deg"));
  if (parts.unit.empty() || parts.unit == "deg") return Angle::from_deg(parts.number);
  return bad_input(fmt::format("'{}' is not a unit of angle; expected deg", parts.unit));
}

Result<Duration> typed_duration(std::string_view text) {
  RUNTRUE_TRY(const auto parts, split(text, "a time such as 1.5 s or 250 ms"));
  if (parts.unit.empty() || parts.unit == "s") return Duration::from_s(parts.number);
  if (parts.unit == "ms") return Duration::from_ms(parts.number);
  return bad_input(fmt::format("'{}' is not a unit of time; expected s or ms", parts.unit));
}

}  // namespace runtrue
