// What the machine needs of the chip: time, motors, keys, ADC, receiver, serial line, memory.
//
// Timer 0 ticks every millisecond and switches the motors off when their time is over, even if the
// main loop hangs. Timer 1 makes the PWM. Timer 3 captures the receiver's edges in half
// microseconds, by hardware, so that no interrupt delays them. UART 1 is the line.
#pragma once

#include <stdint.h>

#include "robot/machine.h"

namespace hardware {

// Motors off first, then everything else; interrupts on last.
void start();

// Milliseconds that have passed since they were last taken.
uint8_t take_ticks();
// The machine's capabilities on this board.
uint8_t capabilities();
runtrue::robot::Sensed sense();
const runtrue::robot::Memory& memory();

// Sets the motors; they go off by themselves after `off_after_ms` more ticks, at once if it is 0.
void set_motors(const runtrue::robot::Duties& duties, uint16_t off_after_ms);

struct Edge {
  uint32_t time_us;
  bool mark;
};
// The next edge of the receiver, in order; false if there is none.
bool take_edge(Edge& edge);
uint32_t now_us();

bool take_byte(uint8_t& byte);
bool can_send();
void send(uint8_t byte);

void set_lamp(bool lit);
void feed_watchdog();
// Till the next interrupt.
void sleep();

}  // namespace hardware
