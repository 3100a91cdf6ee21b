// Keys, cable, ADC, EEPROM, watchdog, sleep.
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "firmware/board.h"
#include "firmware/hardware.h"
#include "firmware/start_up.h"

namespace hardware {
namespace {

using runtrue::robot::Memory;
using runtrue::robot::Sensed;

uint16_t trim_counts;
uint16_t battery_counts;
bool reading_battery;

uint8_t read_byte(void*, uint16_t place) {
  return eeprom_read_byte(reinterpret_cast<const uint8_t*>(place));
}
void write_byte(void*, uint16_t place, uint8_t byte) {
  wdt_reset();
  eeprom_update_byte(reinterpret_cast<uint8_t*>(place), byte);
}
const Memory eeprom(read_byte, write_byte, nullptr);

void pull_up(const board::Pin& pin) { *pin.output = static_cast<uint8_t>(*pin.output | pin.mask); }
bool low(const board::Pin& pin) { return (*pin.input & pin.mask) == 0; }

void begin_conversion(uint8_t channel) {
  ADMUX = static_cast<uint8_t>(_BV(REFS0) | channel);  // against the supply
  ADCSRA |= _BV(ADSC);
}

// One conversion takes 0.1 ms and is over by the next tick; trim and battery take turns.
void take_conversion() {
  if ((ADCSRA & _BV(ADSC)) != 0) return;
  if (reading_battery) {
    battery_counts = ADC;
  } else {
    trim_counts = ADC;
  }
  reading_battery = board::kMeasuresBattery && !reading_battery;
  begin_conversion(reading_battery ? board::kBatteryChannel : board::kTrimChannel);
}

}  // namespace

void start_sensing() {
  pull_up(board::key_forward());
  pull_up(board::key_back());
  pull_up(board::key_left());
  pull_up(board::key_right());
  pull_up(board::key_go());
  MCUCR |= _BV(JTD);  // PF4 to PF7 are keys here; the bit must be written twice in four cycles
  MCUCR |= _BV(JTD);
  ADCSRA = _BV(ADEN) | _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0);
  begin_conversion(board::kTrimChannel);
}

uint8_t capabilities() {
  return static_cast<uint8_t>((board::kHasTrimPot ? runtrue::robot::kHasTrimPot : 0) |
                              (board::kMeasuresBattery ? runtrue::robot::kMeasuresBattery : 0) |
                              (board::kSensesCable ? runtrue::robot::kSensesCable : 0));
}

Sensed sense() {
  take_conversion();
  Sensed sensed = {};
  if (low(board::key_forward())) sensed.keys |= runtrue::robot::kKeyForward;
  if (low(board::key_back())) sensed.keys |= runtrue::robot::kKeyBack;
  if (low(board::key_left())) sensed.keys |= runtrue::robot::kKeyLeft;
  if (low(board::key_right())) sensed.keys |= runtrue::robot::kKeyRight;
  if (low(board::key_go())) sensed.keys |= runtrue::robot::kKeyGo;
  sensed.trim_pot = trim_counts;
  if (board::kMeasuresBattery) {
    sensed.battery_mv =
        static_cast<uint16_t>(static_cast<uint32_t>(battery_counts) * board::kBatteryFull_mv >> 10);
  }
  sensed.cable = board::kSensesCable && !low(board::cable());
  return sensed;
}

const Memory& memory() { return eeprom; }

void feed_watchdog() { wdt_reset(); }

void sleep() {
  SMCR = _BV(SE);  // idle: every interrupt wakes it
  sleep_cpu();
  SMCR = 0;
}

void start() {
  // The watchdog of before a reset by it still runs, and fast.
  MCUSR = 0;
  wdt_disable();
  start_motors();
  start_sensing();
  start_receiver();
  start_line();
  start_ticks();
  wdt_enable(WDTO_250MS);
  sei();
}

}  // namespace hardware
