// Finds places for words on a crowded drawing: near what they belong to, over nothing else.
#pragma once

#include <vector>

#include "print/internal/sheet.h"

namespace runtrue::internal {

class LabelRoom {
 public:
  // Words stay within `frame`.
  explicit LabelRoom(const Box& frame) : frame_(frame) {}

  // What must not be covered at all, and lines that should not be crossed.
  void take(const Box& box) { taken_.push_back(box); }
  void avoid(const std::vector<Spot>& line);

  // A box of that size near `at`, and takes it. `toward` (need not be a unit vector; zero for none)
  // is the side to prefer.
  Box place(const Spot& at, double width, double height, const Spot& toward = {0, 0},
            double nearest = 5.0);

 private:
  [[nodiscard]] double cost(const Box& box) const;
  Box frame_;
  std::vector<Box> taken_;
  std::vector<Spot> lines_;
};

}  // namespace runtrue::internal
