// What the attributes of a line in an SVG drawing say: path data, points, transforms, lengths
// [Svg2].
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "units/result.h"

namespace runtrue::internal {

struct SvgSpot {
  double x = 0.0, y = 0.0;
};

// (x, y) becomes (a·x + c·y + e, b·x + d·y + f), as `matrix(a b c d e f)`.
struct SvgTransform {
  double a = 1.0, b = 0.0, c = 0.0, d = 1.0, e = 0.0, f = 0.0;
  [[nodiscard]] SvgSpot operator()(SvgSpot p) const {
    return {a * p.x + c * p.y + e, b * p.x + d * p.y + f};
  }
  // First `inner`, then this.
  [[nodiscard]] SvgTransform after(const SvgTransform& inner) const;
  // No length grows by more than this.
  [[nodiscard]] double most_growth() const;
  [[nodiscard]] double area_growth() const { return a * d - b * c; }
};

inline constexpr double kPx_mm = 25.4 / 96.0;  // a drawing's own unit where it says no other
inline constexpr std::size_t kMostSvgPoints = 100'000;

// The path as points in its own units; curves within `flat_to` of them. Errors name the character
// (from 1) of the data: another command or number than the grammar allows, a path that does not
// begin with M, a second piece, more than kMostSvgPoints points.
[[nodiscard]] Result<std::vector<SvgSpot>> path_data_points(std::string_view data, double flat_to);

// Of <polyline> and <polygon>: pairs of numbers; an odd one is an error.
[[nodiscard]] Result<std::vector<SvgSpot>> point_list(std::string_view data);

// matrix, translate, scale, rotate, skewX, skewY, one after the other.
[[nodiscard]] Result<SvgTransform> transform_list(std::string_view text);

// The four numbers of a viewBox; width and height must be above 0.
struct SvgViewBox {
  double x = 0.0, y = 0.0, width = 0.0, height = 0.0;
};
[[nodiscard]] Result<SvgViewBox> view_box(std::string_view text);

// A length of the drawing in mm: mm, cm, in, pt, pc, Q, px or nothing (px). Nothing for a
// percentage, which says no size.
[[nodiscard]] Result<std::optional<double>> length_mm(std::string_view text);

}  // namespace runtrue::internal
