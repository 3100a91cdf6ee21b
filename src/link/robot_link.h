// Speaking with one robot over a line: greeting, loading, reading back (docs/link.md).
//
// Every question is sent again while its answer is missing or spoiled; a part is checked as a whole
// by the robot before it holds, and loaded anew once or twice where that fails. So what is said to
// be loaded is loaded, and where it isn't, the robot keeps what it had.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "link/byte_line.h"
#include "robot/run_log.h"
#include "units/result.h"

namespace runtrue {

struct LinkOptions {
  // How long to wait for an answer the first time; later tries wait longer, up to four times it.
  // The robot needs 85 ms to write what one question brings.
  std::chrono::milliseconds patience{150};
  int tries = 16;  // of one question, 1 or more
  int loads = 4;   // of one part, 1 or more
};

struct RobotGreeting {
  std::string name;  // "" where nothing was loaded yet
  int core_major = 0, core_minor = 0;
  int most_moves = 0, most_trials = 0, most_keys = 0, most_presses = 0;
  bool has_trim_pot = false, measures_battery = false, senses_cable = false;
};

class RobotLink {
 public:
  // The line must outlive it.
  explicit RobotLink(ByteLine& line, const LinkOptions& options = {})
      : line_(line), options_(options) {}

  // Begins loading: the robot's motors are off till `leave`. Errors (environment): nothing answers,
  // nothing that answers is a robot, another version of the protocol.
  [[nodiscard]] Result<RobotGreeting> greet();
  // Errors (bad input): what the robot refuses about it.
  [[nodiscard]] Result<void> load(robot::Part part, std::span<const std::uint8_t> bytes);
  // Whether the robot holds exactly these bytes.
  [[nodiscard]] Result<bool> holds(robot::Part part, std::span<const std::uint8_t> bytes);
  [[nodiscard]] Result<robot::StateAnswer> state();
  // The runs it remembers, oldest first.
  [[nodiscard]] Result<std::vector<robot::LogEntry>> log();
  [[nodiscard]] Result<void> leave();

 private:
  struct Answer {
    robot::Status status;
    std::vector<std::uint8_t> payload;
  };
  [[nodiscard]] Result<Answer> ask(robot::Ask ask, std::span<const std::uint8_t> payload);
  [[nodiscard]] Result<std::optional<Answer>> await(robot::Ask ask, std::uint8_t tag,
                                                    std::chrono::milliseconds patience);
  [[nodiscard]] Result<robot::Status> load_once(robot::Part part,
                                                std::span<const std::uint8_t> bytes);

  ByteLine& line_;
  LinkOptions options_;
  std::uint8_t tag_ = 0;
  bool heard_anything_ = false;
};

// "trims" and so on: what a part is called to a person.
[[nodiscard]] const char* word_of(robot::Part part);

}  // namespace runtrue
