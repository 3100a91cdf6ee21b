#include "robot/line.h"

#include "robot/bytes.h"
#include "robot/fcs16.h"

namespace runtrue {
namespace robot {

LineHeard LineReader::byte(uint8_t byte) {
  if (byte == kLineFlag) return end();
  if (!begun_) return LineHeard::kNothing;
  if (byte == kLineEscape) {
    escaped_ = true;
    return LineHeard::kNothing;
  }
  if (escaped_) byte ^= kLineFlip;
  escaped_ = false;
  if (count_ >= sizeof bytes_) {
    count_ = sizeof bytes_ + 1;
    return LineHeard::kNothing;
  }
  bytes_[count_++] = byte;
  fcs_ = fcs16_add(fcs_, byte);
  return LineHeard::kNothing;
}

LineHeard LineReader::end() {
  const uint8_t count = count_;
  const bool good = begun_ && !escaped_ && count > 2 && count <= sizeof bytes_ && fcs_ == kFcsGood;
  const bool empty = !begun_ || (count == 0 && !escaped_);
  begun_ = true;
  escaped_ = false;
  count_ = 0;
  fcs_ = kFcsStart;
  if (empty) return LineHeard::kNothing;  // flags that follow one another
  if (!good) return LineHeard::kBroken;
  size_ = static_cast<uint8_t>(count - 2);
  return LineHeard::kFrame;
}

void LineWriter::start(uint8_t size) {
  size_ = size > kMostBody ? kMostBody : size;
  put_u16(bytes_ + size_, fcs16(bytes_, size_));
  size_ = static_cast<uint8_t>(size_ + 2);
  place_ = 0;
  escaping_ = false;
}

bool LineWriter::next(uint8_t& byte) {
  if (place_ == kIdle) return false;
  if (place_ == 0 || place_ > size_) {
    byte = kLineFlag;
    place_ = place_ == 0 ? static_cast<uint8_t>(1) : kIdle;
    return true;
  }
  byte = bytes_[place_ - 1];
  if (escaping_) {
    byte ^= kLineFlip;
    escaping_ = false;
  } else if (byte == kLineFlag || byte == kLineEscape) {
    byte = kLineEscape;
    escaping_ = true;
    return true;
  }
  ++place_;
  return true;
}

}  // namespace robot
}  // namespace runtrue
