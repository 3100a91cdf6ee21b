#include "robot/fcs16.h"

namespace runtrue {
namespace robot {

uint16_t fcs16_add(uint16_t fcs, uint8_t byte) {
  constexpr uint16_t kReversed = 0x8408;
  fcs = static_cast<uint16_t>(fcs ^ byte);
  for (uint8_t bit = 0; bit < 8; ++bit) {
    const bool one = (fcs & 1U) != 0;
    fcs = static_cast<uint16_t>(fcs >> 1);
    if (one) fcs = static_cast<uint16_t>(fcs ^ kReversed);
  }
  return fcs;
}

uint16_t fcs16(const uint8_t* bytes, uint16_t size) {
  uint16_t fcs = kFcsStart;
  for (uint16_t i = 0; i < size; ++i) fcs = fcs16_add(fcs, bytes[i]);
  return static_cast<uint16_t>(~fcs);
}

}  // namespace robot
}  // namespace runtrue
