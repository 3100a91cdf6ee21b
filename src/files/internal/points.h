// Points in JSON: [x, y] in millimetres.
#pragma once

#include <string_view>
#include <vector>

#include "drive/pose.h"
#include "files/json_number.h"
#include "files/placed_json.h"
#include "units/result.h"

namespace runtrue::internal {

// Errors: no list of two numbers; `name` is said in the message.
[[nodiscard]] Result<Point> point_from(const PlacedJson& value, std::string_view name);
[[nodiscard]] Result<std::vector<Point>> points_from(const PlacedJson& value,
                                                     std::string_view name);

[[nodiscard]] Json point_document(const Point& point);
[[nodiscard]] Json points_document(const std::vector<Point>& points);

}  // namespace runtrue::internal
