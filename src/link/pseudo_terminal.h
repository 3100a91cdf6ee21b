// A pseudo-terminal: a port that another program opens like a serial port, with us at the other
// end.
#pragma once

#include <chrono>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "units/result.h"

namespace runtrue {

class PseudoTerminal {
 public:
  // Error (environment): the system gives none.
  [[nodiscard]] static Result<std::unique_ptr<PseudoTerminal>> open();
  PseudoTerminal(const PseudoTerminal&) = delete;
  PseudoTerminal& operator=(const PseudoTerminal&) = delete;
  ~PseudoTerminal();

  // What the other program opens.
  [[nodiscard]] const std::string& path() const { return path_; }
  // What it has sent; waits up to that time for the first byte. Nothing while it has not opened it.
  [[nodiscard]] std::vector<std::uint8_t> take(std::chrono::milliseconds within);
  // Bytes that find no room are lost, as on a line.
  void give(std::span<const std::uint8_t> bytes);

 private:
  PseudoTerminal(int master, int slave, std::string path);

  int master_;
  int slave_;  // kept open, so that the other program may come and go
  std::string path_;
};

}  // namespace runtrue
