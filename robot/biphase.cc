#include "robot/biphase.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint8_t kMostBits = 37;

// Takes halves one after another and makes bits of them.
struct Halves {
  Bits& bits;
  uint8_t taken;  // of the bit
  bool first;     // level of the bit's first half
  bool rc5;

  // Whether the halves fit where they come.
  bool take(bool mark, uint8_t halves) {
    for (; halves != 0; --halves) {
      const uint8_t half = !rc5 && bits.count == 4 ? 2 : 1;
      if (taken == 0) first = mark;
      if ((taken < half) != (mark == first)) return false;
      if (++taken != static_cast<uint8_t>(2 * half)) continue;
      taken = 0;
      bits.value <<= 1;
      if (first != rc5) ++bits.value;
      if (++bits.count == 5) bits.head = static_cast<uint8_t>(bits.value);
      if (bits.count > kMostBits) return false;
    }
    return true;
  }
};

}  // namespace

Refusal read_halves(const PulseTrain& train, const PulseShape& shape, uint16_t half_us, Bits& bits,
                    Margin& margin) {
  const uint16_t two = static_cast<uint16_t>(2 * half_us);
  bits.count = 0;
  Halves halves = {bits, 0, false, shape.header_mark == 0};
  const uint16_t* pulse = train.us;
  uint8_t left = train.count;
  if (halves.rc5) {
    halves.take(false, 1);
  } else {
    pulse += 2;
    left = static_cast<uint8_t>(left - 2);
  }
  uint8_t space = 1;
  for (;; left = static_cast<uint8_t>(left - 2)) {
    // The last mark is told by its distance to the end of the mark before it.
    const bool last = left == 1;
    const uint16_t mark_us = *pulse++;
    const uint16_t space_us = last ? pulse[-2] : *pulse++;
    uint8_t n = 0;
    uint16_t border = half_us / 2;
    const uint16_t sum = static_cast<uint16_t>(mark_us + space_us);
    while (sum >= border && n < 8) {
      border = static_cast<uint16_t>(border + half_us);
      ++n;
    }
    if (!margin.within(sum, static_cast<uint16_t>(border - half_us), border)) break;
    uint8_t mark = static_cast<uint8_t>(n - space);
    if (!last) {
      // mark - space is -2, 0, 2 or -1, 1 halves: counted up from the shortest mark, by 2.
      mark = static_cast<uint8_t>((n - 1) / 2);
      border = half_us;
      uint16_t more = static_cast<uint16_t>(mark_us - space_us + two);
      if ((n & 1) == 0) more = static_cast<uint16_t>(more + half_us);
      more /= 2;
      while (more >= border && border < two + half_us) {
        border = static_cast<uint16_t>(border + half_us);
        ++mark;
      }
      if (!margin.within(more, static_cast<uint16_t>(border - half_us), border)) break;
      space = static_cast<uint8_t>(n - mark);
    }
    if (static_cast<uint8_t>(mark - 1) > 2 || static_cast<uint8_t>(space - 1) > 2) break;
    if (!halves.take(true, mark)) break;
    if (last) {
      while (halves.taken != 0) {
        if (!halves.take(false, 1)) return Refusal::kWidth;
      }
      return Refusal::kNone;
    }
    if (!halves.take(false, space)) break;
  }
  return Refusal::kWidth;
}

}  // namespace robot
}  // namespace runtrue
