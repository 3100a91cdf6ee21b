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

struct Table {
  std::string name;
  std::vector<Point> edge;  // simple polygon, either way round, at least 3 corners
  bool walled = false;      // an edge with a wall is bumped into, not fallen from
  std::vector<Obstacle> obstacles;
};

// Errors (bad input, naming the field as in TABLE.json): fewer than 3 corners, an edge that crosses
// or touches itself (which sides), no area (under 100 cm²), an obstacle without size or with a
// polygon that crosses itself, coordinates not finite or beyond 100 m.
[[nodiscard]] Result<void> check_table(const Table& table);

}  // namespace runtrue
