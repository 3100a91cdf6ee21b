// A serial port opened for one robot, and the ports there are.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "link/byte_line.h"
#include "units/result.h"

namespace runtrue {

// Opens a port at the robot's baud rate for this program alone. Errors (environment), each with
// what to do: no such port, no rights on it, another program has it, not a serial port.
[[nodiscard]] Result<std::unique_ptr<ByteLine>> open_serial_port(const std::string& path);

// The ports that a robot's cable may show up as, best name first: those by the adapter's own name,
// else by number. Empty where none is there.
[[nodiscard]] std::vector<std::string> serial_ports();

}  // namespace runtrue
