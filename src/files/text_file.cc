#include "files/text_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

namespace runtrue {
namespace {

constexpr std::string_view kMark = "\xEF\xBB\xBF";

Place in(const std::string& path) { return {path, 0, 0}; }

// Says what the system said last, and what was expected.
tl::unexpected<Error> unreadable(const std::string& path) {
  const int code = errno;
  const auto kind = code == ENOENT ? ErrorKind::kNotFound : ErrorKind::kEnvironment;
  const char* why = std::strerror(code);
  return failure(kind, fmt::format("cannot be read ({}), expected a file one may read", why),
                 in(path));
}

tl::unexpected<Error> unwritable(const std::string& path) {
  const char* why = std::strerror(errno);
  return failure(
      ErrorKind::kEnvironment,
      fmt::format("cannot be written ({}), expected a file in a folder one may write to", why),
      in(path));
}

// A file descriptor that is closed in the end.
class Handle {
 public:
  explicit Handle(int fd) : fd_(fd) {}
  ~Handle() {
    if (fd_ > 2) ::close(fd_);
  }
  Handle(const Handle&) = delete;
  Handle& operator=(const Handle&) = delete;
  [[nodiscard]] int get() const { return fd_; }
  // Closes at once; false where the system says that something was lost.
  bool close_now() { return ::close(std::exchange(fd_, -1)) == 0; }

 private:
  int fd_;
};

bool write_all(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t wrote = ::write(fd, text.data(), text.size());
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote < 0) return false;
    text.remove_prefix(static_cast<std::size_t>(wrote));
  }
  return true;
}

// Bytes of the UTF-8 character at the start of `text`, or 0 where there is none: RFC 3629, without
// surrogates, overlong forms and anything beyond U+10FFFF.
std::size_t character_length(std::string_view text) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
  };
  const auto follows = [&](std::size_t i, unsigned low = 0x80, unsigned high = 0xBF) {
    return byte(i) >= low && byte(i) <= high;
  };
  const unsigned first = byte(0);
  if (first < 0x80) return 1;
  if (first >= 0xC2 && first <= 0xDF) return follows(1) ? 2 : 0;
  if (first >= 0xE0 && first <= 0xEF) {
    const unsigned low = first == 0xE0 ? 0xA0 : 0x80;
    const unsigned high = first == 0xED ? 0x9F : 0xBF;
    return follows(1, low, high) && follows(2) ? 3 : 0;
  }
  if (first >= 0xF0 && first <= 0xF4) {
    const unsigned low = first == 0xF0 ? 0x90 : 0x80;
    const unsigned high = first == 0xF4 ? 0x8F : 0xBF;
    return follows(1, low, high) && follows(2) && follows(3) ? 4 : 0;
  }
  return 0;
}

Result<std::string> read_all(int fd, const std::string& path, std::size_t largest_bytes) {
  std::string text;
  std::array<char, 1 << 16> piece{};
  while (true) {
    const ssize_t got = ::read(fd, piece.data(), piece.size());
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return unreadable(path);
    if (got == 0) return text;
    text.append(piece.data(), static_cast<std::size_t>(got));
    if (text.size() > largest_bytes) {
      return bad_input(fmt::format("is larger than {} MB, expected a file of this program's",
                                   largest_bytes >> 20U),
                       in(path));
    }
  }
}

}  // namespace

Result<std::string> read_text(const std::string& path, std::size_t largest_bytes) {
  const bool standard_input = path == "-";
  const Handle file(standard_input ? STDIN_FILENO : ::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.get() < 0) return unreadable(path);
  struct stat about {};
  if (::fstat(file.get(), &about) == 0 && S_ISDIR(about.st_mode)) {
    return failure(ErrorKind::kEnvironment, "is a folder, expected a file", in(path));
  }
  RUNTRUE_TRY(std::string text, read_all(file.get(), path, largest_bytes));
  if (text.starts_with(kMark)) text.erase(0, kMark.size());
  if (auto good = check_text(text); !good) {
    return tl::unexpected(std::move(good).error().in_file(path));
  }
  return text;
}

Result<void> write_file(const std::string& path, std::string_view bytes) {
  if (path == "-") {
    if (!write_all(STDOUT_FILENO, bytes)) return unwritable(path);
    return {};
  }
  struct stat about {};
  const bool there = ::stat(path.c_str(), &about) == 0;
  if (there && S_ISDIR(about.st_mode)) {
    return failure(ErrorKind::kEnvironment, "is a folder, expected the name of a file", in(path));
  }
  if (there && !S_ISREG(about.st_mode)) {  // a device or a pipe: there is no name to take over
    Handle file(::open(path.c_str(), O_WRONLY | O_CLOEXEC));
    if (file.get() < 0 || !write_all(file.get(), bytes)) {
      return unwritable(path);
    }
    return {};
  }
  if (there && ::access(path.c_str(), W_OK) != 0) return unwritable(path);
  std::string beside = path + ".XXXXXX";
  Handle file(::mkostemp(beside.data(), O_CLOEXEC));
  if (file.get() < 0) return unwritable(path);
  const mode_t mode = there ? (about.st_mode & 07777U) : 0644U;
  const bool written = write_all(file.get(), bytes) && ::fchmod(file.get(), mode) == 0 &&
                       ::fsync(file.get()) == 0 && file.close_now() &&
                       ::rename(beside.c_str(), path.c_str()) == 0;
  if (!written) {
    auto error = unwritable(path);
    ::unlink(beside.c_str());
    return error;
  }
  return {};
}

Result<void> check_text(std::string_view text) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = character_length(text.substr(i));
    if (length == 0) {
      return bad_input("holds bytes that are not UTF-8, expected a text file", place_at(text, i));
    }
    if (text[i] == '\0') {
      return bad_input("holds a zero byte, expected a text file", place_at(text, i));
    }
    i += length;
  }
  return {};
}

std::string_view without_mark(std::string_view text) {
  return text.starts_with(kMark) ? text.substr(kMark.size()) : text;
}

Place place_at(std::string_view text, std::size_t offset) {
  Place place{{}, 1, 1};
  for (std::size_t i = 0; i < offset && i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte == '\n') {
      ++place.line;
      place.column = 1;
    } else if ((byte & 0xC0U) != 0x80U) {  // not the rest of a character begun before
      ++place.column;
    }
  }
  return place;
}

}  // namespace runtrue
