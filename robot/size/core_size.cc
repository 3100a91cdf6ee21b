// Links the whole machine into a program and calls every door of it with values the compiler can't
// know, so that the linked program's size is the core's size and the start-up code's. It is never
// run.
#include "robot/machine.h"

namespace {
volatile uint8_t given;
volatile uint8_t taken;

uint8_t read(void*, uint16_t place) { return static_cast<uint8_t>(given + place); }
void write(void*, uint16_t, uint8_t byte) { taken = byte; }

const runtrue::robot::Memory memory(read, write, nullptr);
runtrue::robot::Machine machine(memory, given);
}  // namespace

int main() {
  machine.tick({given, given, given, given != 0});
  machine.edge(given != 0, given);
  machine.silence(given);
  machine.take_byte(given);
  uint8_t byte = 0;
  machine.next_byte(byte);
  taken = byte;
  taken = static_cast<uint8_t>(machine.duties().left + machine.duties().right);
  taken = static_cast<uint8_t>(machine.off_after_ms());
  taken = static_cast<uint8_t>(machine.mode());
  return 0;
}
