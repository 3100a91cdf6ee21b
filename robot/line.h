// Frames on the serial line: the bytes between two flags, with a check sequence behind them.
//
// Freestanding C++14; both ends use it. As [Rfc1662, 4.2 and C.2] frames bytes: 0x7E before and
// behind, 0x7E and 0x7D inside sent as 0x7D and the byte with 0x20 flipped, FCS-16 low byte first.
// The body's bytes are those of robot/messages.h. Garbage, cut frames and frames that are too long
// cost no more than themselves: the next flag begins anew.
#pragma once

#include <stdint.h>

namespace runtrue {
namespace robot {

constexpr uint8_t kLineFlag = 0x7E;
constexpr uint8_t kLineEscape = 0x7D;
constexpr uint8_t kLineFlip = 0x20;
constexpr uint8_t kMostBody = 29;  // bytes of a frame's body, check sequence aside

enum class LineHeard : uint8_t {
  kNothing,  // nothing is complete yet
  kFrame,    // `body` and `size` tell the frame; they stay till the next byte
  kBroken,   // a frame ended and was no good: too short, too long, wrong check sequence
};

constexpr uint8_t kLineBuffer = kMostBody + 2;

class LineReader {
 public:
  LineHeard byte(uint8_t byte);
  const uint8_t* body() const { return bytes_; }
  uint8_t size() const { return size_; }
  // The buffer of kLineBuffer bytes, for an answer that takes the question's place.
  uint8_t* buffer() { return bytes_; }

 private:
  LineHeard end();

  uint8_t bytes_[kLineBuffer] = {};
  uint8_t count_ = 0;  // kMostBody + 3: too long
  uint8_t size_ = 0;
  uint16_t fcs_ = 0xFFFF;
  bool escaped_ = false;
  bool begun_ = false;  // a flag was heard, so that what comes may be a frame
};

// Sends one frame, a byte at a time. Write the body, call `start`, then `next` till it says false.
class LineWriter {
 public:
  // A buffer of kLineBuffer bytes that outlives it and stays as it is while a frame is sent.
  explicit LineWriter(uint8_t* buffer) : bytes_(buffer) {}
  uint8_t* body() { return bytes_; }
  void start(uint8_t size);  // at most kMostBody
  bool next(uint8_t& byte);
  bool busy() const { return place_ != kIdle; }

 private:
  static constexpr uint8_t kIdle = 0xFF;
  uint8_t* bytes_;
  uint8_t size_ = 0;
  uint8_t place_ = kIdle;  // 0: the opening flag, n: byte n - 1, size + 1: the closing flag
  bool escaping_ = false;
};

}  // namespace robot
}  // namespace runtrue
