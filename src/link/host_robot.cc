#include "link/host_robot.h"

namespace runtrue {
namespace {

using MemoryBytes = std::array<std::uint8_t, 1024>;

std::uint8_t read_byte(void* bytes, std::uint16_t place) {
  return static_cast<MemoryBytes*>(bytes)->at(place);
}
void write_byte(void* bytes, std::uint16_t place, std::uint8_t byte) {
  static_cast<MemoryBytes*>(bytes)->at(place) = byte;
}

}  // namespace

HostRobot::HostRobot(std::uint8_t capabilities)
    : memory_(read_byte, write_byte, &bytes_), machine_(memory_, capabilities) {
  pass(2 * robot::kKeySteady_ms);
}

void HostRobot::pass(int milliseconds, const std::function<void(const robot::Duties&)>& each) {
  for (int i = 0; i < milliseconds; ++i) {
    machine_.tick(sensed);
    if (each) each(machine_.duties());
  }
}

void HostRobot::press(std::uint8_t key) {
  sensed.keys = key;
  pass(2 * robot::kKeySteady_ms);
  sensed.keys = 0;
  pass(2 * robot::kKeySteady_ms);
}

std::vector<std::uint8_t> HostRobot::answer(std::span<const std::uint8_t> bytes) {
  std::vector<std::uint8_t> answer;
  for (const std::uint8_t byte : bytes) {
    machine_.take_byte(byte);
    for (std::uint8_t said = 0; machine_.next_byte(said);) answer.push_back(said);
  }
  return answer;
}

void HostRobot::serve(PseudoTerminal& line, std::chrono::milliseconds within) {
  line.give(answer(line.take(within)));
}

}  // namespace runtrue
