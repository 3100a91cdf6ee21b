// The table a robot stands on: its edge, what stands on it, and where it begins.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "drive/pose.h"
#include "units/result.h"

namespace runtrue {

// Something on the table that a robot bumps into: a circle, or a simple polygon.
struct Obstacle {
  std::string name;
  std::optional<Point> centre;  // set for a circle
  Length radius;
  std::vector<Point> polygon;  // set for a polygon
};

// A place within the table where a robot falls as from its edge.
struct Hole {
  std::string name;
  std::vector<Point> polygon;  // simple, either way round
  bool walled = false;
};

struct Table {
  std::string name;
  std::vector<Point> edge;  // simple polygon, either way round, at least 3 corners
  bool walled = false;      // an edge with a wall is bumped into, not fallen from
  // Sides of `edge` that are the other way: open on a walled table, walled on an open one; side i
  // runs from corner i to the next.
  std::vector<int> odd_sides;
  // Further tops that stand against the first or overlap it; what is on any of them is on the
  // table. Their edges are walled as the first one's, without odd sides. Tops that leave a gap of
  // more than a hundredth of a millimetre are apart.
  std::vector<std::vector<Point>> more_edges;
  std::vector<Hole> holes;
  std::vector<Obstacle> obstacles;
};

// Errors (bad input, naming the field as in TABLE.json): fewer than 3 corners, an edge that crosses
// or touches itself (which sides), no area (under 100 cm²), an obstacle without size or with a
// polygon that crosses itself, coordinates not finite or beyond 100 m, odd sides that are not there
// or given twice, a hole that crosses another hole or leaves the table.
[[nodiscard]] Result<void> check_table(const Table& table);

// Where a checked table ends, the table to the left: the sides of its tops, but for what lies
// within or along another top, and of its holes.
struct TableSide {
  Point from, to;
  bool walled = false;
};
[[nodiscard]] std::vector<TableSide> sides_of(const Table& table);

}  // namespace runtrue
