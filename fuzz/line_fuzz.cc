// Any bytes on the line: to the robot's machine, new or while a list runs, which turns no motor
// that was off and answers a greeting afterwards, and to the program's link, which refuses or
// understands them and says so clearly.
#include <algorithm>
#include <array>
#include <chrono>
#include <utility>

#include "fuzz/claim.h"
#include "link/host_robot.h"
#include "link/robot_link.h"
#include "link/robot_load.h"

namespace runtrue {
namespace {

constexpr std::array<std::uint8_t, 3> kGreeting = {1, 1, robot::kProtocolVersion};

std::size_t drain(robot::Machine& machine) {
  std::size_t count = 0;
  for (std::uint8_t byte = 0; machine.next_byte(byte);) ++count;
  return count;
}

// The robot's end without a line between: what is sent is answered at once.
class DirectLine final : public ByteLine {
 public:
  explicit DirectLine(HostRobot& robot) : robot_(robot) {}
  Result<void> send(std::span<const std::uint8_t> bytes) override {
    said_ = robot_.answer(bytes);
    return {};
  }
  Result<std::vector<std::uint8_t>> receive(std::chrono::milliseconds) override {
    return std::exchange(said_, {});
  }

 private:
  HostRobot& robot_;
  std::vector<std::uint8_t> said_;
};

// Loaded with a list of one move, and that move begun.
void set_running(HostRobot& robot) {
  const Robot knot = default_robot("Knot", Length::from_mm(140));
  static const DriveSettings settings = true_robot(knot, {}).value().settings;
  CompiledMove move;
  move.command = {{128}, {128}, 60000};
  DirectLine line(robot);
  RobotLink link(line);
  RUNTRUE_CHECK(link.greet().has_value());
  RUNTRUE_CHECK(
      link.load(robot::Part::kSettings, settings_part(knot, settings).value()).has_value());
  RUNTRUE_CHECK(link.load(robot::Part::kMoves, moves_part({move}).value()).has_value());
  RUNTRUE_CHECK(link.leave().has_value());
  robot.press(robot::kKeyGo);
  robot.pass(robot::kStartWait_ms);
  RUNTRUE_CHECK(robot.machine().duties().left > 0);
}

// Whatever comes: motors that went off stay off, since nobody presses a key.
void try_machine(HostRobot& robot, const std::uint8_t* data, std::size_t size) {
  robot::Machine& machine = robot.machine();
  bool off = machine.duties().left == 0;
  for (std::size_t i = 0; i < size; ++i) {
    machine.take_byte(data[i]);
    RUNTRUE_CHECK(drain(machine) <= 2 * robot::kLineBuffer + 2);
    if (i % 16 == 0) robot.pass(1);
    off = off || machine.mode() != robot::Mode::kRunning;
    const robot::Duties duties = machine.duties();
    RUNTRUE_CHECK(!off || (duties.left == 0 && duties.right == 0));
  }
  std::array<std::uint8_t, robot::kLineBuffer> buffer{};
  std::copy(kGreeting.begin(), kGreeting.end(), buffer.begin());
  robot::LineWriter writer(buffer.data());
  writer.start(kGreeting.size());
  machine.take_byte(robot::kLineFlag);  // whatever was begun ends here
  (void)drain(machine);
  for (std::uint8_t byte = 0; writer.next(byte);) machine.take_byte(byte);
  RUNTRUE_CHECK(drain(machine) > 0);
  RUNTRUE_CHECK(machine.duties().left == 0 && machine.duties().right == 0);
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
  runtrue::HostRobot fresh(0), running(0);
  runtrue::try_machine(fresh, data, size);
  runtrue::set_running(running);
  runtrue::try_machine(running, data, size);
  runtrue::try_link(data, size);
  return 0;
}
