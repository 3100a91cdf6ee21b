#include "files/table_json.h"

#include <fmt/format.h>

#include <utility>

#include "files/internal/points.h"

namespace runtrue {
namespace {

using Need = ObjectReader::Need;
using internal::point_document;
using internal::point_from;
using internal::points_document;
using internal::points_from;

Result<Obstacle> obstacle_from(const PlacedJson& value) {
  ObjectReader object(value, "an obstacle in {}");
  Obstacle obstacle;
  obstacle.name = object.text("name").value_or("");
  const PlacedJson* centre = object.list("centre_mm");
  const auto radius = object.number("radius_mm");
  const PlacedJson* polygon = object.list("polygon_mm");
  const bool circle = centre != nullptr && radius && polygon == nullptr;
  const bool corners = centre == nullptr && !radius && polygon != nullptr;
  if (!circle && !corners) {
    object.fail({ErrorKind::kBadInput,
                 "this obstacle is neither circle nor polygon, expected centre_mm with radius_mm, "
                 "or polygon_mm",
                 value.place()});
  }
  if (circle) {
    obstacle.centre = object.take(point_from(*centre, "centre_mm"));
    obstacle.radius = Length::from_mm(*radius);
  }
  if (corners) {
    if (auto points = object.take(points_from(*polygon, "polygon_mm")))
      obstacle.polygon = *std::move(points);
  }
  if (auto r = object.finish(); !r) return tl::unexpected(std::move(r).error());
  return obstacle;
}

}  // namespace

Result<Table> table_from(const PlacedJson& value) {
  ObjectReader object(value, "a table in {}");
  Table table;
  table.name = object.text("name", Need::kRequired).value_or("");
  if (const PlacedJson* edge = object.list("edge_mm", Need::kRequired)) {
    if (auto points = object.take(points_from(*edge, "edge_mm"))) table.edge = *std::move(points);
  }
  table.walled = object.boolean("walled").value_or(false);
  if (const PlacedJson* obstacles = object.list("obstacles")) {
    for (const PlacedJson& item : obstacles->items) {
      if (auto obstacle = object.take(obstacle_from(item)))
        table.obstacles.push_back(*std::move(obstacle));
    }
  }
  if (auto r = object.finish(); !r) return tl::unexpected(std::move(r).error());
  if (auto r = check_table(table); !r) {
    Error error = std::move(r).error();
    error.place = place_of_named(value, error.message);
    return tl::unexpected(std::move(error));
  }
  return table;
}

Result<Table> read_table(std::string_view text, std::string_view file_name) {
  auto value = parse_json(text);
  if (!value) return tl::unexpected(std::move(value).error().in_file(file_name));
  auto table = table_from(*value);
  if (!table) return tl::unexpected(std::move(table).error().in_file(file_name));
  return table;
}

Json table_document(const Table& table) {
  Json obstacles = Json::array();
  for (const Obstacle& obstacle : table.obstacles) {
    Json one;
    one["name"] = obstacle.name;
    if (obstacle.centre) {
      one["centre_mm"] = point_document(*obstacle.centre);
      one["radius_mm"] = exact_number(obstacle.radius.mm());
    } else {
      one["polygon_mm"] = points_document(obstacle.polygon);
    }
    obstacles.push_back(std::move(one));
  }
  return Json{{"name", table.name},
              {"edge_mm", points_document(table.edge)},
              {"walled", table.walled},
              {"obstacles", obstacles}};
}

std::string write_table(const Table& table) { return document_text(table_document(table)); }

}  // namespace runtrue
