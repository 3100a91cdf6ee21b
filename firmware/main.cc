// The firmware: hands the machine what the hardware brings and sets the motors as it says.
#include "firmware/hardware.h"

namespace {

using runtrue::robot::Machine;
using runtrue::robot::Mode;

void tick(Machine& machine) {
  uint8_t ticks = hardware::take_ticks();
  if (ticks == 0) return;
  const runtrue::robot::Sensed sensed = hardware::sense();
  while (ticks-- > 0) machine.tick(sensed);
  machine.silence(hardware::now_us());
  const Mode mode = machine.mode();
  hardware::set_lamp(mode != Mode::kReady && mode != Mode::kNoSettings);
}

void hear(Machine& machine) {
  hardware::Edge edge;
  while (hardware::take_edge(edge)) machine.edge(edge.mark, edge.time_us);
  uint8_t byte;
  while (hardware::take_byte(byte)) machine.take_byte(byte);
}

// Sends what is to be sent; true while more is waiting.
bool speak(Machine& machine) {
  if (!machine.speaks()) return false;
  uint8_t byte;
  if (hardware::can_send() && machine.next_byte(byte)) hardware::send(byte);
  return machine.speaks();
}

}  // namespace

int main() {
  hardware::start();
  static Machine machine(hardware::memory(), hardware::capabilities());
  for (;;) {
    hear(machine);
    tick(machine);
    hardware::set_motors(machine.duties(), machine.off_after_ms());
    hardware::feed_watchdog();
    if (!speak(machine)) hardware::sleep();
  }
}
