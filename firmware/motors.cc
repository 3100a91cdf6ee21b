// Timer 0 and timer 1: the tick, the two motors, and the switch that ends their time.
#include <avr/interrupt.h>
#include <util/atomic.h>

#include "firmware/board.h"
#include "firmware/hardware.h"
#include "firmware/start_up.h"

namespace hardware {
namespace {

constexpr uint16_t kTop = (runtrue::robot::kFullDuty >> board::kPwmShift) - 1;
constexpr uint8_t kPwmMode = _BV(WGM11);
constexpr uint8_t kLeftOn = _BV(COM1A1);
constexpr uint8_t kRightOn = _BV(COM1B1);

volatile uint8_t ticks;
volatile uint16_t off_after;

void set_pin(const board::Pin& pin, bool high) {
  if (high) {
    *pin.output = static_cast<uint8_t>(*pin.output | pin.mask);
  } else {
    *pin.output = static_cast<uint8_t>(*pin.output & ~pin.mask);
  }
}

void make_output(const board::Pin& pin) {
  set_pin(pin, false);
  *pin.direction = static_cast<uint8_t>(*pin.direction | pin.mask);
}

// Both pins are let go by the timer and driven low.
inline void motors_off() { TCCR1A = kPwmMode; }

uint16_t compare_of(int16_t duty) {
  const uint16_t size = static_cast<uint16_t>(duty < 0 ? -duty : duty) >> board::kPwmShift;
  return size == 0 ? 0 : static_cast<uint16_t>(size - 1);
}

}  // namespace

void start_motors() {
  motors_off();
  make_output(board::left_pwm());
  make_output(board::right_pwm());
  make_output(board::left_back());
  make_output(board::right_back());
  make_output(board::lamp());
  ICR1 = kTop;
  TCCR1B = _BV(WGM13) | _BV(WGM12) | _BV(CS10);  // fast PWM up to ICR1
}

void start_ticks() {
  OCR0A = 249;  // 16 MHz / 64 / 250: a millisecond
  TCCR0A = _BV(WGM01);
  TCCR0B = _BV(CS01) | _BV(CS00);
  TIMSK0 = _BV(OCIE0A);
}

uint8_t take_ticks() {
  uint8_t taken;
  ATOMIC_BLOCK(ATOMIC_FORCEON) {
    taken = ticks;
    ticks = 0;
  }
  return taken;
}

void set_motors(const runtrue::robot::Duties& duties, uint16_t off_after_ms) {
  uint8_t on = kPwmMode;
  if (duties.left != 0) on |= kLeftOn;
  if (duties.right != 0) on |= kRightOn;
  if (off_after_ms == 0) on = kPwmMode;
  const uint16_t left = compare_of(duties.left);
  const uint16_t right = compare_of(duties.right);
  ATOMIC_BLOCK(ATOMIC_FORCEON) {
    // A wheel that turns round is let go before its direction changes.
    TCCR1A = static_cast<uint8_t>(kPwmMode | (TCCR1A & on));
    set_pin(board::left_back(), (duties.left < 0) != board::kLeftTurnedRound);
    set_pin(board::right_back(), (duties.right < 0) != board::kRightTurnedRound);
    OCR1A = left;
    OCR1B = right;
    TCCR1A = on;
    // Ticks that are waiting are part of the time.
    off_after = off_after_ms > ticks ? static_cast<uint16_t>(off_after_ms - ticks) : 0;
    if (off_after == 0) motors_off();
  }
}

void set_lamp(bool lit) {
  const board::Pin lamp = board::lamp();
  if (((*lamp.output & lamp.mask) != 0) != lit) set_pin(lamp, lit);
}

ISR(TIMER0_COMPA_vect) {
  if (ticks != 0xFF) ++ticks;
  if (off_after != 0 && --off_after == 0) motors_off();
}

}  // namespace hardware
