#include "print/internal/heading.h"

namespace runtrue::internal {

Box draw_heading(Sheet& sheet, const std::string& heading, const std::string& details,
                 const std::string& caution) {
  const double right = kSheetWidth_pt - kMargin_pt, foot = kSheetHeight_pt - kMargin_pt - 4;
  double y = kMargin_pt - 6;
  y = sheet.text({kMargin_pt, y}, heading, {15.0, true, kBlack, right - kMargin_pt, false}).bottom +
      4;
  y = sheet.text({kMargin_pt, y}, details, {9.0, false, kBlack, right - kMargin_pt, false}).bottom +
      6;
  sheet.line({{kMargin_pt, y}, {right, y}}, {0.6, kBlack, {}, 0.0});
  sheet.text({kMargin_pt, foot}, caution, {9.0, true, kBlack, 0.0, false}, Anchor::kLeft);
  return {kMargin_pt, y, right, foot};
}

std::string cut_to(Sheet& sheet, const std::string& text, const TextStyle& style, double width) {
  if (sheet.text_box({}, text, style, Anchor::kUpperLeft).width() <= width) return text;
  std::string shorter = text;
  while (!shorter.empty()) {
    // Whole UTF-8 characters only.
    while (!shorter.empty() && (static_cast<unsigned char>(shorter.back()) & 0xC0) == 0x80)
      shorter.pop_back();
    if (!shorter.empty()) shorter.pop_back();
    if (sheet.text_box({}, shorter + "…", style, Anchor::kUpperLeft).width() <= width) break;
  }
  return shorter + "…";
}

}  // namespace runtrue::internal
