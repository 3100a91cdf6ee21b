// What every sheet has at its head and foot.
#pragma once

#include <string>

#include "print/internal/sheet.h"

namespace runtrue::internal {

inline constexpr double kMargin_pt = 34.0;

// Sets the heading, the details below it, a rule, and a caution at the foot ("" for none); answers
// the room between them.
Box draw_heading(Sheet& sheet, const std::string& heading, const std::string& details,
                 const std::string& caution);

// `text` cut to `width` with an ellipsis.
[[nodiscard]] std::string cut_to(Sheet& sheet, const std::string& text, const TextStyle& style,
                                 double width);

}  // namespace runtrue::internal
