// The list of presses keyed in on the robot itself, kept in non-volatile memory.
//
// Freestanding C++14. Two bits a press; a check byte makes a list that was cut off while being
// written, or a new memory, an empty list.
#pragma once

#include <stdint.h>

#include "robot/memory.h"
#include "robot/run_log.h"

namespace runtrue {
namespace robot {

enum class Press : uint8_t { kForward = 0, kBack = 1, kLeft = 2, kRight = 3 };

constexpr uint8_t kMostPresses = 40;

class PressRecorder {
 public:
  explicit PressRecorder(const Memory& memory);
  uint8_t count() const { return kept_.count; }
  Press press(uint8_t index) const;  // index below count()
  // Both write what changed to memory: only while the motors are off. A full list stays as it is.
  void add(Press press);
  void clear();

 private:
  struct Kept {
    uint8_t check;
    uint8_t count;
    uint8_t packed[(kMostPresses + 3) / 4];
  };
  uint8_t check() const;
  void keep();

  const Memory& memory_;
  Kept kept_;

 public:
  static constexpr uint16_t kMemorySize = kPressesPlace + sizeof(Kept);
};
static_assert(PressRecorder::kMemorySize <= 1024, "all fits the chip's EEPROM");

}  // namespace robot
}  // namespace runtrue
