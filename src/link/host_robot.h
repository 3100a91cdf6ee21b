// The robot's own machine on this computer: its memory an array, its time counted in milliseconds
// that the caller lets pass, its line a pseudo-terminal.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "link/pseudo_terminal.h"
#include "robot/machine.h"

namespace runtrue {

class HostRobot {
 public:
  explicit HostRobot(std::uint8_t capabilities);
  HostRobot(const HostRobot&) = delete;
  HostRobot& operator=(const HostRobot&) = delete;

  // What is pressed, plugged in and turned; read at every tick.
  robot::Sensed sensed{};
  [[nodiscard]] robot::Machine& machine() { return machine_; }

  // Lets time pass, a tick a millisecond; `each` is told the motors' duties after every tick.
  void pass(int milliseconds, const std::function<void(const robot::Duties&)>& each = {});
  // Presses a key and lets it go.
  void press(std::uint8_t key);
  // Takes bytes that came over a line; what it answers.
  [[nodiscard]] std::vector<std::uint8_t> answer(std::span<const std::uint8_t> bytes);
  // Takes what has come over the line and gives the answers; waits so long for the first byte.
  void serve(PseudoTerminal& line, std::chrono::milliseconds within);

 private:
  std::array<std::uint8_t, 1024> bytes_{};
  robot::Memory memory_;
  robot::Machine machine_;
};

}  // namespace runtrue
