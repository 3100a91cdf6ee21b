// Timer 3: the receiver's edges, captured by hardware at half a microsecond.
#include <avr/interrupt.h>
#include <util/atomic.h>

#include "firmware/hardware.h"
#include "firmware/start_up.h"

namespace hardware {
namespace {

constexpr uint8_t kRingSize = 32;  // a power of two

// Time in half microseconds; its lowest bit is the level instead, 1 for a mark.
volatile uint32_t ring[kRingSize];
volatile uint8_t written;
volatile uint8_t taken;
volatile uint16_t overflows;

// The counter's 32 bits at a captured or read value of its lower half. Interrupts are off.
uint32_t whole_time(uint16_t low) {
  uint16_t high = overflows;
  // An overflow that waits was before a small value and after a large one.
  if ((TIFR3 & _BV(TOV3)) != 0 && low < 0x8000U) ++high;
  return static_cast<uint32_t>(high) << 16 | low;
}

}  // namespace

void start_receiver() {
  PORTC |= _BV(7);                  // pulled up
  TCCR3B = _BV(ICNC3) | _BV(CS31);  // noise canceller, 2 MHz, falling edge first
  TIFR3 = _BV(ICF3);
  TIMSK3 = _BV(ICIE3) | _BV(TOIE3);
}

bool take_edge(Edge& edge) {
  const uint8_t at = taken;
  if (at == written) return false;
  const uint32_t entry = ring[at];
  taken = (at + 1) & (kRingSize - 1);
  edge.mark = (entry & 1U) != 0;
  edge.time_us = entry >> 1;
  return true;
}

uint32_t now_us() {
  uint32_t now;
  ATOMIC_BLOCK(ATOMIC_FORCEON) { now = whole_time(TCNT3); }
  return now >> 1;
}

ISR(TIMER3_CAPT_vect) {
  const uint32_t time = whole_time(ICR3);
  const bool mark = (TCCR3B & _BV(ICES3)) == 0;  // it was a falling edge
  TCCR3B ^= _BV(ICES3);
  if ((TIFR3 & _BV(ICF3)) != 0) TIFR3 = _BV(ICF3);  // the change may have set it
  const uint8_t next = (written + 1) & (kRingSize - 1);
  if (next == taken) return;  // full: the train is lost and refused by its check
  ring[written] = (time & ~1UL) | (mark ? 1U : 0U);
  written = next;
}

ISR(TIMER3_OVF_vect) { ++overflows; }

}  // namespace hardware
