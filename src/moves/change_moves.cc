#include "moves/change_moves.h"

#include <algorithm>
#include <variant>

namespace runtrue {

std::vector<FlatMove> scaled(std::vector<FlatMove> moves, double ratio) {
  const auto scale_extent = [ratio](Extent& extent) {
    if (extent.length) *extent.length = *extent.length * ratio;
    if (extent.time) *extent.time = *extent.time * ratio;
  };
  for (FlatMove& move : moves) {
    if (auto* drive = std::get_if<DriveMove>(&move.move)) scale_extent(drive->extent);
    if (auto* reverse = std::get_if<ReverseMove>(&move.move)) scale_extent(reverse->extent);
    if (auto* bend = std::get_if<BendMove>(&move.move)) bend->radius = bend->radius * ratio;
  }
  return moves;
}

std::vector<FlatMove> slowed(const std::vector<FlatMove>& moves, Level cap, Level usual) {
  std::vector<FlatMove> slower;
  if (usual.value > cap.value) slower.push_back({AtLevel{cap}});
  for (FlatMove move : moves) {
    if (auto* at = std::get_if<AtLevel>(&move.move)) {
      at->level.value = std::min(at->level.value, cap.value);
    }
    slower.push_back(move);
  }
  return slower;
}

}  // namespace runtrue
