#include "files/internal/svg_scan.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace runtrue::internal {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

}  // namespace

void SvgScan::skip_blanks() {
  while (!at_end() && is_blank(text_[at_])) ++at_;
}

void SvgScan::skip_comma() {
  skip_blanks();
  if (peek() != ',') return;
  ++at_;
  skip_blanks();
}

bool SvgScan::number_ahead() const {
  return is_digit(peek()) || peek() == '.' || peek() == '-' || peek() == '+';
}

std::optional<double> SvgScan::number() {
  std::size_t end = at_;
  const auto digits = [&] {
    const std::size_t from = end;
    while (end < text_.size() && is_digit(text_[end])) ++end;
    return end - from;
  };
  if (end < text_.size() && (text_[end] == '+' || text_[end] == '-')) ++end;
  std::size_t count = digits();
  if (end < text_.size() && text_[end] == '.') {
    ++end;
    count += digits();
  }
  if (count == 0) return std::nullopt;
  if (end < text_.size() && (text_[end] == 'e' || text_[end] == 'E')) {
    const std::size_t before = end++;
    if (end < text_.size() && (text_[end] == '+' || text_[end] == '-')) ++end;
    if (digits() == 0) end = before;  // the "em" of a unit
  }
  const std::size_t begin = text_[at_] == '+' ? at_ + 1 : at_;  // which from_chars doesn't take
  double value = 0.0;
  const auto [stopped, code] = std::from_chars(text_.data() + begin, text_.data() + end, value);
  if (code != std::errc() || stopped != text_.data() + end || !std::isfinite(value)) {
    return std::nullopt;
  }
  at_ = end;
  return value;
}

std::optional<bool> SvgScan::flag() {
  if (peek() != '0' && peek() != '1') return std::nullopt;
  return take() == '1';
}

std::string_view SvgScan::word() {
  const std::size_t from = at_;
  while (!at_end() && is_letter(text_[at_])) ++at_;
  return text_.substr(from, at_ - from);
}

tl::unexpected<Error> SvgScan::wrong(std::string_view expected) const {
  if (at_end()) return bad_input(fmt::format("it ends too early, expected {}", expected));
  std::size_t end = at_ + 1;  // of the character, which may be several bytes
  while (end < text_.size() && (static_cast<unsigned char>(text_[end]) & 0xC0U) == 0x80U) ++end;
  return bad_input(fmt::format("character {} is '{}', expected {}", at_ + 1,
                               text_.substr(at_, end - at_), expected));
}

}  // namespace runtrue::internal
