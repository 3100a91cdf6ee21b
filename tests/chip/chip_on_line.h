// A simulated chip whose serial line is a pseudo-terminal, run by a thread of its own as fast as it
// goes, so that the program's own link can speak with it.
#pragma once

#include <atomic>
#include <memory>
#include <string>
#include <thread>

#include "link/pseudo_terminal.h"
#include "tests/chip/simulated_chip.h"

namespace runtrue {

class ChipOnLine {
 public:
  explicit ChipOnLine(SimulatedChip& chip) : chip_(chip), line_(PseudoTerminal::open().value()) {
    thread_ = std::thread([this] {
      while (!stop_) pump();
    });
  }
  // Afterwards the chip is the caller's again.
  ~ChipOnLine() {
    stop_ = true;
    thread_.join();
  }
  ChipOnLine(const ChipOnLine&) = delete;
  ChipOnLine& operator=(const ChipOnLine&) = delete;

  [[nodiscard]] const std::string& path() const { return line_->path(); }

 private:
  void pump() {
    constexpr double kByte_ms = 10.0 / 38.4;  // ten bits at 38400 baud
    for (const std::uint8_t byte : line_->take(std::chrono::milliseconds(0))) {
      chip_.send(byte);
      chip_.run_ms(kByte_ms);
    }
    chip_.run_ms(1);
    const auto sent = chip_.take_sent();
    if (!sent.empty()) line_->give(sent);
    // A chip that only waits would else use up the machine.
    if (sent.empty()) std::this_thread::sleep_for(std::chrono::microseconds(200));
  }

  SimulatedChip& chip_;
  std::unique_ptr<PseudoTerminal> line_;
  std::atomic<bool> stop_ = false;
  std::thread thread_;
};

}  // namespace runtrue
