// A line of bytes to a robot, as narrow as the link needs it: a serial port, a pseudo-terminal, or
// a test's line that loses and spoils.
#pragma once

#include <chrono>
#include <cstdint>
#include <span>
#include <vector>

#include "units/result.h"

namespace runtrue {

class ByteLine {
 public:
  virtual ~ByteLine() = default;
  // All of it, or the reason why not (environment: the cable was pulled).
  [[nodiscard]] virtual Result<void> send(std::span<const std::uint8_t> bytes) = 0;
  // What arrives within that time, at least one byte; nothing where nothing came.
  [[nodiscard]] virtual Result<std::vector<std::uint8_t>> receive(
      std::chrono::milliseconds within) = 0;
};

}  // namespace runtrue
