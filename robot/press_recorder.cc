#include "robot/press_recorder.h"

#include <string.h>

#include "robot/shared_code.h"

namespace runtrue {
namespace robot {

PressRecorder::PressRecorder(const Memory& memory) : memory_(memory) {
  memory_.read(kPressesPlace, &kept_, sizeof kept_);
  if (kept_.count > kMostPresses || kept_.check != check()) memset(&kept_, 0, sizeof kept_);
}

Press PressRecorder::press(uint8_t index) const {
  uint8_t byte = kept_.packed[index / 4];
  for (index &= 3; index > 0; --index) byte = static_cast<uint8_t>(byte >> 2);
  return static_cast<Press>(byte & 3);
}

void PressRecorder::add(Press press) {
  if (kept_.count >= kMostPresses) return;
  uint8_t bits = static_cast<uint8_t>(press);
  for (uint8_t i = kept_.count & 3; i > 0; --i) bits = static_cast<uint8_t>(bits << 2);
  kept_.packed[kept_.count / 4] = static_cast<uint8_t>(kept_.packed[kept_.count / 4] | bits);
  ++kept_.count;
  keep();
}

void PressRecorder::clear() {
  memset(&kept_, 0, sizeof kept_);
  keep();
}

RUNTRUE_SHARED uint8_t PressRecorder::check() const {
  uint8_t sum = static_cast<uint8_t>(0x5A + kept_.count);
  for (const uint8_t byte : kept_.packed) sum = static_cast<uint8_t>((sum << 1 | sum >> 7) ^ byte);
  return sum;
}

void PressRecorder::keep() {
  kept_.check = check();
  memory_.write(kPressesPlace, &kept_, sizeof kept_);
}

}  // namespace robot
}  // namespace runtrue
