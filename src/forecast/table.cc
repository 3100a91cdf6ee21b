#include "forecast/table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "forecast/internal/plane.h"

namespace runtrue {
namespace {

using internal::Vec;

constexpr double kFarthest_mm = 100'000.0;
constexpr double kLeastTable_mm2 = 10'000.0;  // 100 cm²
constexpr std::size_t kMostCorners = 2000;    // every side is compared with every other
constexpr std::size_t kMostObstacles = 500;
constexpr std::size_t kMostTops = 20;
constexpr std::size_t kMostHoles = 50;

bool within_reach(const Point& p) {
  return std::abs(p.x.mm()) <= kFarthest_mm && std::abs(p.y.mm()) <= kFarthest_mm;  // false for NaN
}

std::string as_typed(const Point& p) { return fmt::format("[{:g}, {:g}]", p.x.mm(), p.y.mm()); }

// "side 2, from [0, 0] to [10, 0]", sides counted from 1.
std::string side_words(const std::vector<Point>& corners, std::size_t side) {
  return fmt::format("side {}, {} to {}", side + 1, as_typed(corners[side]),
                     as_typed(corners[(side + 1) % corners.size()]));
}

Result<void> check_sides(const std::string& field, const std::vector<Point>& corners) {
  const std::vector<Vec> at = internal::vecs_of(corners);
  const std::size_t n = at.size();
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t next = (i + 1) % n;
    if (internal::length(at[next] - at[i]) < 1e-6) {
      return bad_input(fmt::format("{}[{}] is the corner {} again, expected every corner once",
                                   field, next, as_typed(corners[i])));
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t next = (i + 1) % n;
    const Vec after_next = at[(i + 2) % n];
    // Neighbours share a corner; they touch beyond it only when the second runs back along the
    // first.
    const bool runs_back = internal::dot(at[next] - at[i], after_next - at[next]) < 0.0 &&
                           (internal::distance_to_side(after_next, at[i], at[next]) < 1e-6 ||
                            internal::distance_to_side(at[i], at[next], after_next) < 1e-6);
    if (runs_back) {
      return bad_input(
          fmt::format("{} crosses or touches itself: {}, runs back along {}; expected "
                      "sides that meet at corners alone",
                      field, side_words(corners, next), side_words(corners, i)));
    }
    for (std::size_t j = i + 2; j < n; ++j) {
      if (i == 0 && j == n - 1) continue;
      if (internal::sides_meet(at[i], at[next], at[j], at[(j + 1) % n])) {
        return bad_input(
            fmt::format("{} crosses or touches itself: {}, meets {}; expected sides "
                        "that meet at corners alone",
                        field, side_words(corners, i), side_words(corners, j)));
      }
    }
  }
  return {};
}

Result<void> check_polygon(const std::string& field, const std::vector<Point>& corners) {
  if (corners.size() < 3 || corners.size() > kMostCorners) {
    return bad_input(
        fmt::format("{} has {} corners, expected 3 to {}", field, corners.size(), kMostCorners));
  }
  for (std::size_t i = 0; i < corners.size(); ++i) {
    if (within_reach(corners[i])) continue;
    return bad_input(fmt::format("{}[{}] is {}, expected numbers within 100 m of the origin", field,
                                 i, as_typed(corners[i])));
  }
  return check_sides(field, corners);
}

Result<void> check_obstacle(const Obstacle& obstacle, std::size_t index) {
  const std::string field = fmt::format("obstacles[{}]", index);
  const std::string named =
      obstacle.name.empty() ? field : fmt::format("{} ({})", field, obstacle.name);
  if (obstacle.centre.has_value() == !obstacle.polygon.empty()) {
    return bad_input(fmt::format("{} has {} polygon_mm, expected one of them", named,
                                 obstacle.centre ? "both centre_mm and" : "neither centre_mm nor"));
  }
  if (!obstacle.centre) return check_polygon(field + ".polygon_mm", obstacle.polygon);
  if (!within_reach(*obstacle.centre)) {
    return bad_input(fmt::format("{}.centre_mm is {}, expected numbers within 100 m of the origin",
                                 field, as_typed(*obstacle.centre)));
  }
  const double radius_mm = obstacle.radius.mm();
  if (!(radius_mm > 0.0 && radius_mm <= kFarthest_mm)) {
    return bad_input(fmt::format("{}.radius_mm is {:g}, expected more than 0 and at most 100 m",
                                 field, radius_mm));
  }
  return {};
}

bool any_sides_meet(const std::vector<Vec>& a, const std::vector<Vec>& b) {
  for (std::size_t i = 0; i < a.size(); ++i) {
    for (std::size_t j = 0; j < b.size(); ++j) {
      if (internal::sides_meet(a[i], a[(i + 1) % a.size()], b[j], b[(j + 1) % b.size()])) {
        return true;
      }
    }
  }
  return false;
}

Result<void> check_odd_sides(const Table& table) {
  std::set<int> seen;
  for (const int side : table.odd_sides) {
    if (side < 0 || side >= static_cast<int>(table.edge.size())) {
      return bad_input(
          fmt::format("odd_sides names side {}, expected 0 to {}: side 0 runs from the "
                      "first corner of edge_mm to the second",
                      side, table.edge.size() - 1));
    }
    if (!seen.insert(side).second) {
      return bad_input(fmt::format("odd_sides names side {} twice, expected it once", side));
    }
  }
  return {};
}

Result<void> check_more_edges(const Table& table) {
  if (table.more_edges.size() > kMostTops) {
    return bad_input(fmt::format("more_edges_mm has {} entries, expected at most {}",
                                 table.more_edges.size(), kMostTops));
  }
  for (std::size_t i = 0; i < table.more_edges.size(); ++i) {
    if (auto r = check_polygon(fmt::format("more_edges_mm[{}]", i), table.more_edges[i]); !r) {
      return r;
    }
  }
  return {};
}

// A hole lies within one top.
Result<void> check_holes(const Table& table) {
  if (table.holes.size() > kMostHoles) {
    return bad_input(
        fmt::format("holes has {} entries, expected at most {}", table.holes.size(), kMostHoles));
  }
  std::vector<std::vector<Vec>> tops{internal::vecs_of(table.edge)}, holes;
  for (const auto& more : table.more_edges) tops.push_back(internal::vecs_of(more));
  for (std::size_t i = 0; i < table.holes.size(); ++i) {
    const std::string field = fmt::format("holes[{}].polygon_mm", i);
    if (auto r = check_polygon(field, table.holes[i].polygon); !r) return r;
    const std::vector<Vec> hole = internal::vecs_of(table.holes[i].polygon);
    const bool within = std::any_of(tops.begin(), tops.end(), [&](const auto& top) {
      return internal::contains(top, hole[0]) && !any_sides_meet(hole, top);
    });
    if (!within) {
      return bad_input(fmt::format(
          "{} leaves the table or touches its edge, expected a hole within one table top", field));
    }
    for (std::size_t j = 0; j < holes.size(); ++j) {
      if (any_sides_meet(hole, holes[j]) || internal::contains(holes[j], hole[0]) ||
          internal::contains(hole, holes[j][0])) {
        return bad_input(fmt::format("{} meets holes[{}], expected holes apart", field, j));
      }
    }
    holes.push_back(hole);
  }
  return {};
}

}  // namespace

Result<void> check_table(const Table& table) {
  if (auto r = check_polygon("edge_mm", table.edge); !r) return r;
  if (auto r = check_odd_sides(table); !r) return r;
  if (auto r = check_more_edges(table); !r) return r;
  if (auto r = check_holes(table); !r) return r;
  const double area_mm2 = std::abs(internal::signed_area_mm2(internal::vecs_of(table.edge)));
  if (area_mm2 < kLeastTable_mm2) {
    return bad_input(
        fmt::format("edge_mm encloses {:.3g} cm², expected at least 100 cm² (typed in "
                    "centimetres?)",
                    area_mm2 / 100.0));
  }
  if (table.obstacles.size() > kMostObstacles) {
    return bad_input(fmt::format("obstacles has {} entries, expected at most {}",
                                 table.obstacles.size(), kMostObstacles));
  }
  for (std::size_t i = 0; i < table.obstacles.size(); ++i) {
    if (auto r = check_obstacle(table.obstacles[i], i); !r) return r;
  }
  return {};
}

}  // namespace runtrue
