// Calls every function of the core with values the compiler can't know, so that the linked
// program's size is the core's size and the start-up code's. It is never run.
#include "robot/output.h"

namespace {
volatile int16_t given;
volatile int16_t taken;
}  // namespace

int main() {
  const runtrue::robot::OutputRules rules{static_cast<uint16_t>(given), given};
  const runtrue::robot::Duties duties = runtrue::robot::put_out(given, given, given, rules);
  taken = duties.left;
  taken = duties.right;
  return 0;
}
