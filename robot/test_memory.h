// A host's array as the robot's memory, for tests; its supply can be cut after so many writes.
#pragma once

#include <stdint.h>
#include <string.h>

#include "robot/memory.h"
#include "robot/press_recorder.h"

namespace runtrue {
namespace robot {

class TestMemory {
 public:
  TestMemory() { memset(bytes_, 0xFF, sizeof bytes_); }  // as a new chip's
  TestMemory(const TestMemory&) = delete;
  TestMemory& operator=(const TestMemory&) = delete;

  const Memory& memory() const { return memory_; }
  long writes() const { return writes_; }
  // No write takes effect any more once that many were made; what the last one writes is `torn`.
  void cut_after(long writes, uint8_t torn) {
    cut_ = writes_ + writes;
    torn_ = torn;
  }

 private:
  static uint8_t read(void* self, uint16_t place) {
    return static_cast<TestMemory*>(self)->bytes_[place];
  }
  static void write(void* self, uint16_t place, uint8_t byte) {
    auto& memory = *static_cast<TestMemory*>(self);
    uint8_t& kept = memory.bytes_[place];
    if (kept == byte) return;
    ++memory.writes_;
    if (memory.writes_ > memory.cut_) return;
    kept = memory.writes_ == memory.cut_ ? static_cast<uint8_t>(kept & memory.torn_) : byte;
  }

  uint8_t bytes_[1024];
  long writes_ = 0;
  long cut_ = 1L << 40;
  uint8_t torn_ = 0;
  Memory memory_{read, write, this};
};

}  // namespace robot
}  // namespace runtrue
