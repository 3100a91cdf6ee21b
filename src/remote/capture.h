// A signal as a receiver's output was recorded: levels and how long each lasted.
#pragma once

#include <vector>

namespace runtrue {

struct Pulse {
  bool mark = false;       // the carrier is heard
  double duration_us = 0;  // above 0
};

// From time 0 on; two neighbours may have the same level.
struct Capture {
  std::vector<Pulse> pulses;
};

}  // namespace runtrue
