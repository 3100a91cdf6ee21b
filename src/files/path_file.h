// A drawn path as a file: a table of points, or a line in an SVG drawing.
//
// CSV: a header line with the columns x_mm and y_mm, then one point a row (RFC 4180; semicolons or
// tabs as in RUNS.csv).
// SVG [Svg2]: one <path>, <polyline> or <polygon>, with the transforms of what it stands in, drawn
// without lifting. Its size is the drawing's own: width or height with a unit against the viewBox;
// a length without one counts in px, 96 to the inch. y goes up here: 0, 0 is the drawing's lower
// left corner where its height is known, else its origin. What is only a definition (defs, symbol,
// clipPath, mask, marker, pattern) is passed over. Curves become straight pieces that stay within
// kFlatTo_mm of them.
#pragma once

#include <string_view>
#include <vector>

#include "drive/pose.h"
#include "units/result.h"

namespace runtrue {

inline constexpr double kFlatTo_mm = 0.1;

// Which of the two it is goes by the text: SVG begins with '<'. `id` names the line where a drawing
// has several; "" for the only one. Errors (bad input, with line and, for CSV, the cell's column):
// what is not well-formed; columns missing or unknown; a cell that is no number; no line or more
// than one, or none of that id; path data that breaks the grammar or lifts the pen; a transform
// that can't be read or folds everything onto a line; over 100,000 points.
[[nodiscard]] Result<std::vector<Point>> read_path(std::string_view text,
                                                   std::string_view file_name,
                                                   std::string_view id = "");

}  // namespace runtrue
