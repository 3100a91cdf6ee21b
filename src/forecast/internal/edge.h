// Where a table ends: the sides of all its tops and holes, but for those within another top.
#pragma once

#include <vector>

#include "forecast/internal/plane.h"
#include "forecast/table.h"

namespace runtrue::internal {

// The table lies to its left.
struct EdgeSide {
  Vec from, to;
  bool walled = false;
};

struct Edge {
  std::vector<std::vector<Vec>> tops;   // counter-clockwise
  std::vector<std::vector<Vec>> holes;  // clockwise
  std::vector<EdgeSide> sides;
};

// The table must have passed its check.
[[nodiscard]] Edge edge_of(const Table& table);

}  // namespace runtrue::internal
