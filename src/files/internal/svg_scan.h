// Reads numbers and words of SVG attributes from left to right [Svg2, 9.3.9].
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "units/result.h"

namespace runtrue::internal {

class SvgScan {
 public:
  explicit SvgScan(std::string_view text) : text_(text) {}

  void skip_blanks();
  // Blanks, and one comma among them.
  void skip_comma();
  [[nodiscard]] bool at_end() const { return at_ == text_.size(); }
  [[nodiscard]] char peek() const { return at_end() ? '\0' : text_[at_]; }
  char take() { return text_[at_++]; }
  // Whether a number may begin here.
  [[nodiscard]] bool number_ahead() const;
  // A number with sign, point and exponent; none where the text is no number, or not a finite one.
  [[nodiscard]] std::optional<double> number();
  // A flag of an arc: one character, 0 or 1.
  [[nodiscard]] std::optional<bool> flag();
  // The letters ahead.
  [[nodiscard]] std::string_view word();
  // "character 7 is 'x', expected ..."
  [[nodiscard]] tl::unexpected<Error> wrong(std::string_view expected) const;

 private:
  std::string_view text_;
  std::size_t at_ = 0;
};

}  // namespace runtrue::internal
