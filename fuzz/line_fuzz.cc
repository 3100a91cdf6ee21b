// Any bytes on the line: to the robot's machine, which turns no motor and answers a greeting
// afterwards, and to the program's link, which refuses or understands them and says so clearly.
#include <algorithm>
#include <array>
#include <chrono>

#include "fuzz/claim.h"
#include "link/host_robot.h"
#include "link/robot_link.h"

namespace runtrue {
namespace {

constexpr std::array<std::uint8_t, 3> kGreeting = {1, 1, robot::kProtocolVersion};

std::size_t drain(robot::Machine& machine) {
  std::size_t count = 0;
  for (std::uint8_t byte = 0; machine.next_byte(byte);) ++count;
  return count;
}

void try_machine(const std::uint8_t* data, std::size_t size) {
  HostRobot robot(0);
  robot::Machine& machine = robot.machine();
  for (std::size_t i = 0; i < size; ++i) {
    machine.take_byte(data[i]);
    RUNTRUE_CHECK(drain(machine) <= 2 * robot::kLineBuffer + 2);
    if (i % 16 == 0) robot.pass(1);
    RUNTRUE_CHECK(machine.duties().left == 0 && machine.duties().right == 0);
  }
  std::array<std::uint8_t, robot::kLineBuffer> buffer{};
  std::copy(kGreeting.begin(), kGreeting.end(), buffer.begin());
  robot::LineWriter writer(buffer.data());
  writer.start(kGreeting.size());
  machine.take_byte(robot::kLineFlag);  // whatever was begun ends here
  (void)drain(machine);
  for (std::uint8_t byte = 0; writer.next(byte);) machine.take_byte(byte);
  RUNTRUE_CHECK(drain(machine) > 0);
}

// The bytes once, then nothing any more.
class OnceLine final : public ByteLine {
 public:
  explicit OnceLine(std::vector<std::uint8_t> bytes) : bytes_(std::move(bytes)) {}
  Result<void> send(std::span<const std::uint8_t>) override { return {}; }
  Result<std::vector<std::uint8_t>> receive(std::chrono::milliseconds) override {
    if (given_) {
      return failure(ErrorKind::kEnvironment, "the line has ended");
    }
    given_ = true;
    return bytes_;
  }

 private:
  std::vector<std::uint8_t> bytes_;
  bool given_ = false;
};

template <class T>
void claim_said(const Result<T>& result) {
  RUNTRUE_CHECK(result || !result.error().message.empty());
}

void try_link(const std::uint8_t* data, std::size_t size) {
  const std::vector<std::uint8_t> bytes(data, data + size);
  const auto speak = [&](auto question) {
    OnceLine line(bytes);
    RobotLink link(line, {.tries = 1});
    claim_said(question(link));
  };
  speak([](RobotLink& link) { return link.greet(); });
  speak([](RobotLink& link) { return link.state(); });
  speak([](RobotLink& link) { return link.log(); });
  speak([](RobotLink& link) { return link.leave(); });
  speak([&](RobotLink& link) { return link.load(robot::Part::kMoves, bytes); });
}

}  // namespace
}  // namespace runtrue

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  runtrue::try_machine(data, size);
  runtrue::try_link(data, size);
  return 0;
}
