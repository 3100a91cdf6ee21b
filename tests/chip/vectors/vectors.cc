// On the chip: tells all vectors over the serial line, as fast as it goes, and sleeps.
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#include "tests/chip/core_vectors.h"

namespace {

struct Tell {
  void operator()(const void* bytes, uint8_t size) {
    const uint8_t* next = static_cast<const uint8_t*>(bytes);
    for (; size > 0; --size) {
      while ((UCSR1A & _BV(UDRE1)) == 0) {
      }
      UDR1 = *next++;
    }
  }
};

}  // namespace

int main() {
  UBRR1 = 0;
  UCSR1A = _BV(U2X1);
  UCSR1C = _BV(UCSZ11) | _BV(UCSZ10);
  UCSR1B = _BV(TXEN1);
  runtrue::robot::tell_vectors(Tell());
  while ((UCSR1A & _BV(TXC1)) == 0) {
  }
  cli();
  sleep_enable();
  sleep_cpu();  // without interrupts, for ever
  return 0;
}
