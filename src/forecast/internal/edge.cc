#include "forecast/internal/edge.h"

#include <algorithm>

namespace runtrue {
namespace internal {
namespace {

// Where the side meets others, as parts of it, ascending, with 0 and 1.
std::vector<double> cuts_of(const EdgeSide& side, const std::vector<Vec>& other) {
  const Vec along = side.to - side.from;
  std::vector<double> cuts{0.0, 1.0};
  for (std::size_t i = 0; i < other.size(); ++i) {
    const Vec a = other[i], b = other[(i + 1) % other.size()];
    const double beside_a = cross(along, a - side.from), beside_b = cross(along, b - side.from);
    // Where the other's side crosses the line of this one, and where its corner lies on it.
    if ((beside_a < 0.0) != (beside_b < 0.0)) {
      const Vec met = a + (b - a) * (beside_a / (beside_a - beside_b));
      cuts.push_back(dot(met - side.from, along) / dot(along, along));
    }
    cuts.push_back(dot(a - side.from, along) / dot(along, along));
  }
  for (double& cut : cuts) cut = std::clamp(cut, 0.0, 1.0);
  std::sort(cuts.begin(), cuts.end());
  return cuts;
}

// The pieces of the side that don't run within `other` or along it: a piece is judged by what lies
// just beyond its middle.
std::vector<EdgeSide> outside_of(const EdgeSide& side, const std::vector<Vec>& other) {
  constexpr double kGap_mm = 0.01, kLeast_mm = 1e-6;
  const Vec along = side.to - side.from;
  const double size = length(along);
  const Vec beyond = Vec{along.y, -along.x} * (kGap_mm / size);
  const std::vector<double> cuts = cuts_of(side, other);
  std::vector<EdgeSide> pieces;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    if ((cuts[i + 1] - cuts[i]) * size < kLeast_mm) continue;
    const Vec middle = side.from + along * ((cuts[i] + cuts[i + 1]) / 2.0);
    if (contains(other, middle + beyond)) continue;
    pieces.push_back({side.from + along * cuts[i], side.from + along * cuts[i + 1], side.walled});
  }
  return pieces;
}

void add_polygon(std::vector<std::vector<Vec>>& all, const std::vector<Point>& points,
                 bool counter_clockwise) {
  std::vector<Vec> polygon = vecs_of(points);
  if ((signed_area_mm2(polygon) > 0.0) != counter_clockwise) {
    std::reverse(polygon.begin(), polygon.end());
  }
  all.push_back(std::move(polygon));
}

std::vector<EdgeSide> sides_of(const std::vector<Vec>& corners, bool walled) {
  std::vector<EdgeSide> sides;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    sides.push_back({corners[i], corners[(i + 1) % corners.size()], walled});
  }
  return sides;
}

// The sides of the first top, with those that are the other way.
std::vector<EdgeSide> first_sides_of(const Edge& edge, const Table& table) {
  std::vector<EdgeSide> sides = sides_of(edge.tops[0], table.walled);
  const bool reversed = signed_area_mm2(vecs_of(table.edge)) < 0.0;
  const int n = static_cast<int>(sides.size());
  for (const int odd : table.odd_sides) {
    // Turned round, side i runs from corner n − 1 − i, so it stands at n − 2 − i.
    const int place = reversed ? (2 * n - 2 - odd) % n : odd;
    sides[static_cast<std::size_t>(place)].walled = !table.walled;
  }
  return sides;
}

}  // namespace

Edge edge_of(const Table& table) {
  Edge edge;
  add_polygon(edge.tops, table.edge, true);
  for (const auto& more : table.more_edges) add_polygon(edge.tops, more, true);
  for (std::size_t t = 0; t < edge.tops.size(); ++t) {
    std::vector<EdgeSide> sides =
        t == 0 ? first_sides_of(edge, table) : sides_of(edge.tops[t], table.walled);
    for (std::size_t other = 0; other < edge.tops.size(); ++other) {
      if (other == t) continue;
      std::vector<EdgeSide> left;
      for (const EdgeSide& side : sides) {
        const auto pieces = outside_of(side, edge.tops[other]);
        left.insert(left.end(), pieces.begin(), pieces.end());
      }
      sides = std::move(left);
    }
    edge.sides.insert(edge.sides.end(), sides.begin(), sides.end());
  }
  for (const Hole& hole : table.holes) {
    add_polygon(edge.holes, hole.polygon, false);
    const auto sides = sides_of(edge.holes.back(), hole.walled);
    edge.sides.insert(edge.sides.end(), sides.begin(), sides.end());
  }
  return edge;
}

}  // namespace internal

std::vector<TableSide> sides_of(const Table& table) {
  std::vector<TableSide> sides;
  for (const internal::EdgeSide& side : internal::edge_of(table).sides) {
    sides.push_back({internal::point_of(side.from), internal::point_of(side.to), side.walled});
  }
  return sides;
}

}  // namespace runtrue
