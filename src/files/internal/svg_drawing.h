// The lines of an SVG drawing, in millimetres with y up.
#pragma once

#include <string_view>
#include <vector>

#include "drive/pose.h"
#include "units/result.h"

namespace runtrue::internal {

// As read_path (files/path_file.h) says of SVG.
[[nodiscard]] Result<std::vector<Point>> line_of_drawing(std::string_view text,
                                                         std::string_view id);

}  // namespace runtrue::internal
