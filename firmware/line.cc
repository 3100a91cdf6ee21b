// UART 1: the serial line.
#include <avr/interrupt.h>

#include "firmware/hardware.h"
#include "firmware/start_up.h"

namespace hardware {
namespace {

constexpr uint8_t kRingSize = 64;  // a power of two, and more than a question
constexpr uint16_t kDivisor = F_CPU / 16 / runtrue::robot::kBaud - 1;

volatile uint8_t ring[kRingSize];
volatile uint8_t written;
volatile uint8_t taken;

}  // namespace

void start_line() {
  PORTD |= _BV(2);  // the receiving pin is pulled up, so that an open line is a silent one
  UBRR1 = kDivisor;
  UCSR1C = _BV(UCSZ11) | _BV(UCSZ10);
  UCSR1B = _BV(RXEN1) | _BV(TXEN1) | _BV(RXCIE1);
}

bool take_byte(uint8_t& byte) {
  const uint8_t at = taken;
  if (at == written) return false;
  byte = ring[at];
  taken = (at + 1) & (kRingSize - 1);
  return true;
}

bool can_send() { return (UCSR1A & _BV(UDRE1)) != 0; }
void send(uint8_t byte) { UDR1 = byte; }

ISR(USART1_RX_vect) {
  const uint8_t byte = UDR1;
  const uint8_t next = (written + 1) & (kRingSize - 1);
  if (next == taken) return;  // full: the frame is lost and asked again
  ring[written] = byte;
  written = next;
}

}  // namespace hardware
