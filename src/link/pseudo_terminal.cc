#include "link/pseudo_terminal.h"

#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <utility>

namespace runtrue {

PseudoTerminal::PseudoTerminal(int master, int slave, std::string path)
    : master_(master), slave_(slave), path_(std::move(path)) {}

PseudoTerminal::~PseudoTerminal() {
  ::close(slave_);
  ::close(master_);
}

Result<std::unique_ptr<PseudoTerminal>> PseudoTerminal::open() {
  const auto none = [] {
    return failure(ErrorKind::kEnvironment, "this system gives no pseudo-terminal");
  };
  const int master = ::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC | O_NONBLOCK);
  if (master < 0) return none();
  std::array<char, 128> name{};
  int slave = -1;
  if (::grantpt(master) == 0 && ::unlockpt(master) == 0 &&
      ::ptsname_r(master, name.data(), name.size()) == 0) {
    slave = ::open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  }
  termios settings{};
  if (slave < 0 || ::tcgetattr(slave, &settings) != 0) {
    if (slave >= 0) ::close(slave);
    ::close(master);
    return none();
  }
  ::cfmakeraw(&settings);  // bytes as they are, no echo
  ::tcsetattr(slave, TCSANOW, &settings);
  return std::unique_ptr<PseudoTerminal>(new PseudoTerminal(master, slave, name.data()));
}

std::vector<std::uint8_t> PseudoTerminal::take(std::chrono::milliseconds within) {
  pollfd ready{master_, POLLIN, 0};
  if (::poll(&ready, 1, static_cast<int>(within.count())) <= 0) return {};
  std::array<std::uint8_t, 512> part{};
  const ssize_t count = ::read(master_, part.data(), part.size());
  if (count <= 0) return {};
  return {part.begin(), part.begin() + count};
}

void PseudoTerminal::give(std::span<const std::uint8_t> bytes) {
  while (!bytes.empty()) {
    const ssize_t count = ::write(master_, bytes.data(), bytes.size());
    if (count <= 0) return;
    bytes = bytes.subspan(static_cast<std::size_t>(count));
  }
}

}  // namespace runtrue
