#include "robot/memory.h"

#include "robot/shared_code.h"

namespace runtrue {
namespace robot {

RUNTRUE_SHARED uint8_t Memory::read(uint16_t place) const { return read_(context_, place); }

RUNTRUE_SHARED void Memory::write(uint16_t place, uint8_t byte) const {
  write_(context_, place, byte);
}

void Memory::read(uint16_t place, void* into, uint8_t count) const {
  uint8_t* to = static_cast<uint8_t*>(into);
  while (count-- > 0) *to++ = read(place++);
}

void Memory::write(uint16_t place, const void* from, uint8_t count) const {
  const uint8_t* next = static_cast<const uint8_t*>(from);
  while (count-- > 0) write(place++, *next++);
}

}  // namespace robot
}  // namespace runtrue
