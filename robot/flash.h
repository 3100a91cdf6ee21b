// Constants that stay in the chip's flash, instead of being copied to its memory at the start.
#pragma once

#ifdef __AVR__
#include <avr/pgmspace.h>
#define RUNTRUE_FLASH PROGMEM
#else
#define RUNTRUE_FLASH
#endif

namespace runtrue {
namespace robot {

template <class T>
T from_flash(const T* constant) {
#ifdef __AVR__
  T copy;
  memcpy_P(&copy, constant, sizeof(T));
  return copy;
#else
  return *constant;
#endif
}

}  // namespace robot
}  // namespace runtrue
