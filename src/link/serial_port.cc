#include "link/serial_port.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <grp.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <utility>

// In this order: the library's own header needs <utility> before it under this compiler.
#include <boost/asio/io_context.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/serial_port.hpp>
#include <boost/asio/write.hpp>

#include "robot/messages.h"

namespace runtrue {
namespace {

namespace asio = boost::asio;
using Code = boost::system::error_code;

std::string group_of(const std::string& path) {
  struct stat about {};
  if (::stat(path.c_str(), &about) != 0) return {};
  const group* owner = ::getgrgid(about.st_gid);
  return owner == nullptr ? std::string() : owner->gr_name;
}

tl::unexpected<Error> trouble(const std::string& path, std::string message) {
  return failure(ErrorKind::kEnvironment, std::move(message), {path});
}

tl::unexpected<Error> busy(const std::string& path) {
  return trouble(path,
                 "another program has this port; end it, or unplug the robot and plug it in again");
}

std::string ports_words() {
  const std::vector<std::string> ports = serial_ports();
  if (ports.empty()) {
    return "no serial port is here at all: plug the robot in; a cable that only charges shows none";
  }
  std::string words = "expected one of those here:";
  for (const std::string& port : ports) words += " " + port;
  return words;
}

tl::unexpected<Error> not_opened(const std::string& path, const Code& code) {
  switch (code.value()) {
    case ENOENT:
    case ENXIO:
    case ENODEV:
      return failure(ErrorKind::kNotFound, "there is no such port; " + ports_words(), {path});
    case EBUSY:
      return busy(path);
    case EACCES:
    case EPERM: {
      const std::string group = group_of(path);
      return trouble(path, group.empty() || group == "root"
                               ? "no right to use this port; ask whoever keeps this machine"
                               : fmt::format("no right to use this port; its users are the group "
                                             "{0}: `sudo usermod -aG {0} $USER`, then log in anew",
                                             group));
    }
    case ENOTTY:
    case EINVAL:
      return trouble(path, "this is not a serial port; " + ports_words());
    default:
      return trouble(path, fmt::format("could not be opened: {}", code.message()));
  }
}

class SerialPort final : public ByteLine {
 public:
  explicit SerialPort(std::string path) : path_(std::move(path)), port_(context_) {}

  Result<void> open() {
    Code code;
    port_.open(path_, code);
    if (code) return not_opened(path_, code);
    if (::flock(port_.native_handle(), LOCK_EX | LOCK_NB) != 0) return busy(path_);
    ::ioctl(port_.native_handle(), TIOCEXCL);
    using Base = asio::serial_port_base;
    port_.set_option(Base::baud_rate(robot::kBaud), code);
    if (!code) port_.set_option(Base::character_size(8), code);
    if (!code) port_.set_option(Base::parity(Base::parity::none), code);
    if (!code) port_.set_option(Base::stop_bits(Base::stop_bits::one), code);
    if (!code) port_.set_option(Base::flow_control(Base::flow_control::none), code);
    if (code) return not_opened(path_, code);
    keep_lines_up();
    return {};
  }

  Result<void> send(std::span<const std::uint8_t> bytes) override {
    Code code;
    asio::write(port_, asio::buffer(bytes.data(), bytes.size()), code);
    if (code) return gone();
    return {};
  }

  Result<std::vector<std::uint8_t>> receive(std::chrono::milliseconds within) override {
    std::array<std::uint8_t, 256> part{};
    Code ended;
    std::size_t count = 0;
    port_.async_read_some(asio::buffer(part), [&](const Code& code, std::size_t size) {
      ended = code;
      count = size;
    });
    context_.restart();
    context_.run_for(within);
    if (!context_.stopped()) {  // still waiting: take the wish back and let it end
      port_.cancel();
      context_.run();
    }
    if (ended && ended != asio::error::operation_aborted) return gone();
    return std::vector<std::uint8_t>(part.begin(), part.begin() + static_cast<long>(count));
  }

 private:
  // Closing the port is not to reset the robot, and no modem's line is to hold it up.
  void keep_lines_up() {
    termios settings{};
    if (::tcgetattr(port_.native_handle(), &settings) != 0) return;
    settings.c_cflag &= ~static_cast<tcflag_t>(HUPCL);
    settings.c_cflag |= CLOCAL;
    ::tcsetattr(port_.native_handle(), TCSANOW, &settings);
    ::tcflush(port_.native_handle(), TCIOFLUSH);
  }
  [[nodiscard]] tl::unexpected<Error> gone() const {
    return trouble(path_, "the port is gone: was the cable pulled?");
  }

  std::string path_;
  asio::io_context context_;
  asio::serial_port port_;
};

}  // namespace

Result<std::unique_ptr<ByteLine>> open_serial_port(const std::string& path) {
  auto port = std::make_unique<SerialPort>(path);
  if (auto opened = port->open(); !opened) return tl::unexpected(std::move(opened).error());
  return port;
}

std::vector<std::string> serial_ports() {
  namespace fs = std::filesystem;
  std::vector<std::string> found;
  std::error_code error;
  const auto add = [&](const char* folder, const char* prefix) {
    std::vector<std::string> some;
    for (fs::directory_iterator entry(folder, error), end; !error && entry != end;
         entry.increment(error)) {
      if (entry->path().filename().string().starts_with(prefix)) some.push_back(entry->path());
    }
    std::sort(some.begin(), some.end());
    found.insert(found.end(), some.begin(), some.end());
  };
  add("/dev/serial/by-id", "");
  if (found.empty()) {
    add("/dev", "ttyUSB");
    add("/dev", "ttyACM");
  }
  return found;
}

}  // namespace runtrue
