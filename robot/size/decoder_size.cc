// Calls the pulse reader with values the compiler can't know, so that the linked program's size is
// that of all decoders together and the start-up code's. It is never run.
#include "robot/pulse_reader.h"

namespace {
volatile uint32_t given;
volatile uint32_t taken;
runtrue::robot::PulseReader reader;
}  // namespace

int main() {
  const runtrue::robot::Heard heard = reader.edge(given != 0, given);
  taken = static_cast<uint32_t>(heard) + static_cast<uint32_t>(reader.silence(given));
  taken = reader.frame().command + reader.frame().address + reader.start_us();
  return 0;
}
