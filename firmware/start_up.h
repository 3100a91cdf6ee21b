// The parts of start-up, in the order in which `hardware::start` calls them.
#pragma once

namespace hardware {

void start_motors();
void start_sensing();
void start_receiver();
void start_line();
void start_ticks();

}  // namespace hardware
