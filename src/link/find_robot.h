// Finding the robot that a cable leads to.
#pragma once

#include <memory>
#include <string>

#include "link/byte_line.h"
#include "link/robot_link.h"
#include "units/result.h"

namespace runtrue {

// An open port and the robot that answered on it; it is greeted, so its motors are off.
struct FoundRobot {
  std::string port;
  std::unique_ptr<ByteLine> line;
  RobotGreeting greeting;
};

// On `port`; where that is "", on the one port of this machine that a robot answers on. Errors
// (environment) name the port: those of open_serial_port and of RobotLink::greet; no port at all;
// no robot on any; robots on several.
[[nodiscard]] Result<FoundRobot> find_robot(const std::string& port);

}  // namespace runtrue
