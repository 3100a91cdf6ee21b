// Numbers as they stand in messages and in memory: low byte first.
#pragma once

#include <stdint.h>

namespace runtrue {
namespace robot {

inline uint16_t get_u16(const uint8_t* bytes) {
  return static_cast<uint16_t>(bytes[0] | static_cast<uint16_t>(bytes[1]) << 8);
}

inline void put_u16(uint8_t* bytes, uint16_t value) {
  bytes[0] = static_cast<uint8_t>(value);
  bytes[1] = static_cast<uint8_t>(value >> 8);
}

}  // namespace robot
}  // namespace runtrue
