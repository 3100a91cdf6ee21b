#include "files/internal/points.h"

#include <fmt/format.h>

namespace runtrue::internal {

Result<Point> point_from(const PlacedJson& value, std::string_view name) {
  using Kind = PlacedJson::Kind;
  if (value.kind != Kind::kList || value.items.size() != 2 ||
      value.items[0].kind != Kind::kNumber || value.items[1].kind != Kind::kNumber) {
    return bad_input(fmt::format("{} holds no point here, expected [x, y] in mm", name),
                     value.place());
  }
  return Point{Length::from_mm(value.items[0].number), Length::from_mm(value.items[1].number)};
}

Result<std::vector<Point>> points_from(const PlacedJson& value, std::string_view name) {
  std::vector<Point> points;
  for (const PlacedJson& item : value.items) {
    RUNTRUE_TRY(const Point point, point_from(item, name));
    points.push_back(point);
  }
  return points;
}

Json point_document(const Point& point) {
  return Json::array({exact_number(point.x.mm()), exact_number(point.y.mm())});
}

Json points_document(const std::vector<Point>& points) {
  Json document = Json::array();
  for (const Point& point : points) document.push_back(point_document(point));
  return document;
}

}  // namespace runtrue::internal
