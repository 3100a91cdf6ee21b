// The board's pins and values: the one file a kit maker edits. docs/porting.md says which pins can
// do what.
//
// This is an ATmega32U4 at 16 MHz with a dual motor bridge (one PWM and one direction pin a wheel),
// five keys to ground, a 38 kHz receiver, a trim potentiometer and a battery divider. Pins are
// named by port and bit as in the chip's data sheet.
#pragma once

#include <avr/io.h>
#include <stdint.h>

namespace board {

// A pin: the port's three registers and its bit.
struct Pin {
  volatile uint8_t* direction;
  volatile uint8_t* output;
  volatile uint8_t* input;
  uint8_t mask;
};
#define RUNTRUE_PIN(port, bit) (::board::Pin{&DDR##port, &PORT##port, &PIN##port, 1U << (bit)})

// Motors. The PWM pins are those of timer 1 and can't be others: left PB5 (OC1A), right PB6 (OC1B).
// Pull-downs on both hold the bridge off while the chip is in reset.
inline Pin left_pwm() { return RUNTRUE_PIN(B, 5); }
inline Pin right_pwm() { return RUNTRUE_PIN(B, 6); }
inline Pin left_back() { return RUNTRUE_PIN(B, 4); }   // high: backward
inline Pin right_back() { return RUNTRUE_PIN(B, 7); }  //
// true where a wheel turns backward with its direction pin low, since its motor is wired the other
// way round.
constexpr bool kLeftTurnedRound = false;
constexpr bool kRightTurnedRound = false;
// The duty of 1 to 16384 is cut by 2 to this power: 0 gives 977 Hz and every duty exactly, 3 gives
// 7.8 kHz and whole multiples of 8.
constexpr uint8_t kPwmShift = 0;

// Keys, low when pressed, pulled up inside the chip.
inline Pin key_forward() { return RUNTRUE_PIN(F, 4); }
inline Pin key_back() { return RUNTRUE_PIN(F, 5); }
inline Pin key_left() { return RUNTRUE_PIN(F, 6); }
inline Pin key_right() { return RUNTRUE_PIN(F, 7); }
inline Pin key_go() { return RUNTRUE_PIN(E, 6); }

// The receiver's output (low while it hears the carrier) is on PC7, the capture pin of timer 3, and
// can't be another.

// High while the cable is in: the adapter's 5 V through a divider, with a pull-down. Where the
// board has none: false, and loading then ends by the program's word alone.
constexpr bool kSensesCable = true;
inline Pin cable() { return RUNTRUE_PIN(D, 4); }

// The trim potentiometer between ground and the chip's supply: an ADC channel, 0 to 7.
constexpr bool kHasTrimPot = true;
constexpr uint8_t kTrimChannel = 0;  // PF0

// The battery through a divider, against the chip's supply: battery mV at the full 1023 counts.
constexpr bool kMeasuresBattery = true;
constexpr uint8_t kBatteryChannel = 1;  // PF1
constexpr uint16_t kBatteryFull_mv = 10000;

// One lamp, lit while the robot runs or is being loaded.
inline Pin lamp() { return RUNTRUE_PIN(C, 6); }

}  // namespace board
