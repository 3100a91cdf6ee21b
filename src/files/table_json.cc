#include "files/table_json.h"

#include <fmt/format.h>

#include <cmath>
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

Result<Hole> hole_from(const PlacedJson& value) {
  ObjectReader object(value, "a hole in {}");
  Hole hole;
  hole.name = object.text("name").value_or("");
  if (const PlacedJson* polygon = object.list("polygon_mm", Need::kRequired)) {
    if (auto points = object.take(points_from(*polygon, "polygon_mm")))
      hole.polygon = *std::move(points);
  }
  hole.walled = object.boolean("walled").value_or(false);
  if (auto r = object.finish(); !r) return tl::unexpected(std::move(r).error());
  return hole;
}

// Sides that are the other way, as whole numbers.
Result<int> side_from(const PlacedJson& value) {
  const double number = value.number;
  if (value.kind != PlacedJson::Kind::kNumber || number != std::floor(number) ||
      std::abs(number) > 1e6) {
    return bad_input(
        "odd_sides holds no side here, expected whole numbers: 0 for the side from "
        "the first corner of edge_mm to the second",
        value.place());
  }
  return static_cast<int>(number);
}

// What a plain table does without.
void read_rest_of_edge(ObjectReader& object, Table& table) {
  if (const PlacedJson* odd = object.list("odd_sides")) {
    for (const PlacedJson& item : odd->items) {
      if (auto side = object.take(side_from(item))) table.odd_sides.push_back(*side);
    }
  }
  if (const PlacedJson* more = object.list("more_edges_mm")) {
    for (const PlacedJson& item : more->items) {
      if (item.kind != PlacedJson::Kind::kList) {
        object.fail({ErrorKind::kBadInput,
                     "more_edges_mm holds no edge here, expected a list of points [x, y] in mm",
                     item.place()});
        continue;
      }
      if (auto points = object.take(points_from(item, "more_edges_mm")))
        table.more_edges.push_back(*std::move(points));
    }
  }
  if (const PlacedJson* holes = object.list("holes")) {
    for (const PlacedJson& item : holes->items) {
      if (auto hole = object.take(hole_from(item))) table.holes.push_back(*std::move(hole));
    }
  }
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
  read_rest_of_edge(object, table);
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
  Json document{{"name", table.name},
                {"edge_mm", points_document(table.edge)},
                {"walled", table.walled},
                {"obstacles", obstacles}};
  if (!table.odd_sides.empty()) document["odd_sides"] = table.odd_sides;
  for (const auto& more : table.more_edges) {
    document["more_edges_mm"].push_back(points_document(more));
  }
  for (const Hole& hole : table.holes) {
    document["holes"].push_back({{"name", hole.name},
                                 {"polygon_mm", points_document(hole.polygon)},
                                 {"walled", hole.walled}});
  }
  return document;
}

Json sides_document(const Table& table) {
  Json document = Json::array();
  for (const TableSide& side : sides_of(table)) {
    document.push_back({{"from_mm", point_document(side.from)},
                        {"to_mm", point_document(side.to)},
                        {"walled", side.walled}});
  }
  return document;
}

std::string write_table(const Table& table) { return document_text(table_document(table)); }

}  // namespace runtrue
