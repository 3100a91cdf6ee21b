// A sheet of paper to draw on: points from the upper left corner, x right, y down, 72 to the inch.
//
// Thin over cairo and pango: lines, text set in DejaVu Sans, and the finished bytes as SVG, PDF or
// PNG.
#pragma once

#include <cairo.h>
#include <pango/pango.h>

#include <memory>
#include <string>
#include <vector>

#include "print/picture.h"
#include "units/result.h"

namespace runtrue::internal {

inline constexpr double kPointsPerMm = 72.0 / 25.4;
inline constexpr double kSheetWidth_pt = kSheetWidth_mm * kPointsPerMm;
inline constexpr double kSheetHeight_pt = kSheetHeight_mm * kPointsPerMm;

// A place on the paper.
struct Spot {
  double x = 0.0;
  double y = 0.0;
};

// A box on the paper.
struct Box {
  double left = 0.0, top = 0.0, right = 0.0, bottom = 0.0;
  [[nodiscard]] bool overlaps(const Box& o) const {
    return left < o.right && o.left < right && top < o.bottom && o.top < bottom;
  }
  [[nodiscard]] bool holds(const Spot& p) const {
    return p.x > left && p.x < right && p.y > top && p.y < bottom;
  }
  [[nodiscard]] Box grown(double by) const {
    return {left - by, top - by, right + by, bottom + by};
  }
  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double height() const { return bottom - top; }
};

// Inks that differ in lightness, so that a grey print tells them apart too.
struct Ink {
  double red, green, blue;
};
inline constexpr Ink kBlack{0.0, 0.0, 0.0};
inline constexpr Ink kGrey{0.38, 0.38, 0.38};
inline constexpr Ink kPale{0.62, 0.62, 0.62};
inline constexpr Ink kComputed{0.05, 0.24, 0.50};
inline constexpr Ink kDanger{0.62, 0.05, 0.05};
inline constexpr Ink kWhite{1.0, 1.0, 1.0};

struct Pen {
  double width = 0.7;
  Ink ink = kBlack;
  std::vector<double> dashes{};
  double dash_offset = 0.0;
};

struct TextStyle {
  double size = 8.5;
  bool bold = false;
  Ink ink = kBlack;
  double wrap_width = 0.0;  // 0: one line
  bool halo = false;        // white behind the letters, where they cross lines
};

// Where in its box the given spot lies.
enum class Anchor { kUpperLeft, kUpperRight, kCentre, kLeft, kRight };

class Sheet {
 public:
  // `title` and `description` go into SVG and PDF as such; `made_on` into the PDF's date.
  Sheet(PictureKind kind, std::string title, std::string description, const std::string& made_on);
  Sheet(const Sheet&) = delete;
  Sheet& operator=(const Sheet&) = delete;

  void line(const std::vector<Spot>& spots, const Pen& pen, bool closed = false);
  void circle(const Spot& centre, double radius, const Pen& pen);
  void fill(const std::vector<Spot>& spots, const Ink& ink);
  void fill_circle(const Spot& centre, double radius, const Ink& ink);
  // Close parallel strokes within the outline, rising to the right or falling.
  void hatch(const std::vector<Spot>& outline, double gap, const Pen& pen, bool rising = true);
  // The box the text takes when its anchor is at `at`.
  [[nodiscard]] Box text_box(const Spot& at, const std::string& text, const TextStyle& style,
                             Anchor anchor);
  Box text(const Spot& at, const std::string& text, const TextStyle& style,
           Anchor anchor = Anchor::kUpperLeft);
  // Text turned by `radians` counter-clockwise about its centre.
  void turned_text(const Spot& centre, double radians, const std::string& words,
                   const TextStyle& style);
  void clip(const Box& box);
  void unclip();

  // The bytes; the sheet is done for afterwards.
  [[nodiscard]] Result<std::string> finish();

 private:
  struct Release {
    void operator()(cairo_t* cr) const { cairo_destroy(cr); }
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(PangoLayout* layout) const { g_object_unref(layout); }
  };
  void use(const Pen& pen);
  void trace(const std::vector<Spot>& spots, bool closed);
  void set_text(const std::string& text, const TextStyle& style);

  PictureKind kind_;
  std::string title_, description_;
  std::string bytes_;
  std::unique_ptr<cairo_surface_t, Release> surface_;
  std::unique_ptr<cairo_t, Release> cr_;
  std::unique_ptr<PangoLayout, Release> layout_;
};

// "−4", "+12": a number as a person reads it on paper, with a true minus.
[[nodiscard]] std::string signed_number(double value, int decimals = 0, bool plus = false);
// The same in a sentence that others made: " -4" becomes " −4".
[[nodiscard]] std::string with_true_minus(const std::string& text);
// "10 000": thin groups of three.
[[nodiscard]] std::string grouped(long long value);

}  // namespace runtrue::internal
