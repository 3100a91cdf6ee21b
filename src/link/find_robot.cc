#include "link/find_robot.h"

#include <fmt/format.h>

#include <optional>
#include <utility>
#include <vector>

#include "link/serial_port.h"

namespace runtrue {
namespace {

Result<FoundRobot> greet_on(const std::string& port, const LinkOptions& options) {
  RUNTRUE_TRY(auto line, open_serial_port(port));
  auto greeting = RobotLink(*line, options).greet();
  if (!greeting) return tl::unexpected(std::move(greeting).error().in_file(port));
  return FoundRobot{port, std::move(line), *std::move(greeting)};
}

}  // namespace

Result<FoundRobot> find_robot(const std::string& port) {
  if (!port.empty()) return greet_on(port, {});
  const std::vector<std::string> ports = serial_ports();
  if (ports.empty()) {
    return failure(
        ErrorKind::kNotFound,
        "no serial port is here: plug the robot in; a cable that only charges shows none",
        {"--port"});
  }
  if (ports.size() == 1) return greet_on(ports.front(), {});
  std::optional<FoundRobot> found;
  std::string others;
  for (const std::string& candidate : ports) {
    auto robot = greet_on(candidate, {.tries = 4});  // most ports lead to no robot
    if (!robot) continue;
    if (found) {
      return failure(ErrorKind::kConflict,
                     fmt::format("robots answer on {} and {}, expected one of them named",
                                 found->port, candidate),
                     {"--port"});
    }
    found = *std::move(robot);
  }
  if (!found) {
    for (const std::string& candidate : ports) others += " " + candidate;
    return failure(ErrorKind::kNotFound,
                   fmt::format("no robot answers on any port here:{}; is it switched on? A cable "
                               "that only charges carries no words",
                               others),
                   {"--port"});
  }
  return *std::move(found);
}

}  // namespace runtrue
