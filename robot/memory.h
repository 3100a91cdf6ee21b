// The robot's non-volatile memory as its port gives it: bytes that outlast a cut supply.
//
// Plain function pointers, so that the chip's EEPROM, a host's array and a test's memory that is
// cut off in the middle all serve. `write_byte` may take milliseconds and should leave a byte alone
// that already has the value; it is called only while the motors are off.
#pragma once

#include <stdint.h>

namespace runtrue {
namespace robot {

class Memory {
 public:
  using Read = uint8_t (*)(void* context, uint16_t place);
  using Write = void (*)(void* context, uint16_t place, uint8_t byte);
  Memory(Read read_byte, Write write_byte, void* context)
      : read_(read_byte), write_(write_byte), context_(context) {}

  uint8_t read(uint16_t place) const;
  void read(uint16_t place, void* into, uint8_t count) const;
  void write(uint16_t place, uint8_t byte) const;
  void write(uint16_t place, const void* from, uint8_t count) const;

 private:
  Read read_;
  Write write_;
  void* context_;
};

}  // namespace robot
}  // namespace runtrue
