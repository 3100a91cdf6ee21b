#include "print/internal/label_room.h"

#include <cmath>
#include <numbers>

namespace runtrue::internal {
namespace {

// Costs in points of distance (arbitrary, tried on full and on empty tables): words over words are
// worst, then words off the paper, then words over a line.
constexpr double kOverWords = 1000.0;
constexpr double kOffTheFrame = 2000.0;
constexpr double kOverLine = 9.0;
constexpr double kWrongSide = 25.0;
constexpr double kLineStep_pt = 2.5;

}  // namespace

void LabelRoom::avoid(const std::vector<Spot>& line) {
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    const double dx = line[i + 1].x - line[i].x, dy = line[i + 1].y - line[i].y;
    const int steps = 1 + static_cast<int>(std::min(std::hypot(dx, dy) / kLineStep_pt, 4000.0));
    for (int s = 0; s <= steps; ++s)
      lines_.push_back({line[i].x + dx * s / steps, line[i].y + dy * s / steps});
  }
}

double LabelRoom::cost(const Box& box) const {
  double sum = 0.0;
  if (box.left < frame_.left || box.right > frame_.right || box.top < frame_.top ||
      box.bottom > frame_.bottom) {
    sum += kOffTheFrame;
  }
  for (const Box& t : taken_) {
    if (box.overlaps(t)) sum += kOverWords;
  }
  const Box near = box.grown(1.0);
  for (const Spot& p : lines_) {
    if (near.holds(p)) sum += kOverLine;
  }
  return sum;
}

Box LabelRoom::place(const Spot& at, double width, double height, const Spot& toward,
                     double nearest) {
  constexpr int kDirections = 24;
  constexpr int kRings = 10;
  constexpr double kRing_pt = 6.0;
  const double wish = std::hypot(toward.x, toward.y);
  Box best{};
  double least = -1.0;
  for (int ring = 0; ring < kRings; ++ring) {
    const double gap = nearest + ring * kRing_pt;
    for (int d = 0; d < kDirections; ++d) {
      // Starts upward and to the right, so that equal places are settled the same way each time.
      const double angle = std::numbers::pi * (0.25 + 2.0 * d / kDirections);
      const double ux = std::cos(angle), uy = -std::sin(angle);
      const double cx = at.x + ux * (gap + width / 2), cy = at.y + uy * (gap + height / 2);
      const Box box{cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2};
      double sum = gap + cost(box);
      if (wish > 0) sum += kWrongSide * (1.0 - (ux * toward.x + uy * toward.y) / wish);
      if (least < 0 || sum < least - 1e-9) {
        least = sum;
        best = box;
      }
    }
  }
  take(best.grown(1.0));
  return best;
}

}  // namespace runtrue::internal
