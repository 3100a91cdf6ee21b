// A protocol as a row of numbers: what begins a frame, how a bit is told, what the bits say.
//
// The rows stay in the chip's flash and are read by two engines, pulse_distance.h and biphase.h;
// a protocol's own code only sorts its bits into fields and verifies its checks.
#pragma once

#include <stdint.h>

#include "robot/flash.h"
#include "robot/frame.h"
#include "robot/pulse_train.h"

namespace runtrue {
namespace robot {

// Keeps the least distance of any width from its borders.
class Margin {
 public:
  // Whether low <= width <= high.
  bool within(uint16_t width, uint16_t low, uint16_t high);
  uint16_t least_us() const { return least_; }

 private:
  uint16_t least_ = 65535;
};

constexpr uint8_t kMostBytes = 6;

struct Bits {
  uint8_t count;
  uint8_t head;               // biphase: the first five, the first highest
  uint32_t value;             // biphase: the last 32, the last lowest
  uint8_t bytes[kMostBytes];  // pulse distance and width: the first bit is the lowest of the first
                              // byte, the last byte is filled from its low end
};

struct PulseShape {
  uint8_t header_mark;    // units; 0: no header
  uint8_t header;         // units of its mark and space
  uint8_t shortest_64us;  // limits of the header's mark and space
  uint8_t longest_64us;
  uint8_t unit_4us;  // without header
  uint8_t mark_4us;  // nominal, of a bit; 0: the unit
  uint8_t one;       // units from mark to mark, where a 0 has 2: 4, or 3 for pulse width
  uint8_t bits;      // by width: the most; biphase: not looked at
  Refusal (*engine)(const PulseTrain& train, const PulseShape& shape, uint16_t unit_us, Bits& bits,
                    Margin& margin);
  Refusal (*fields)(const Bits& bits, Frame& frame);
};

// A header's mark may be off by so much: receivers stretch long marks too.
constexpr uint16_t kHeaderMarkSlack_us = 1200;

// Reads a train of at least 3 pulses by a row in flash. The unit is taken from the header, mark and
// space together, so a clock may be off by as much as the header's limits allow. kHeader where the
// header doesn't fit, else what the engine and the protocol say.
Refusal read_by(const PulseShape* in_flash, const PulseTrain& train, Frame& frame);

}  // namespace robot
}  // namespace runtrue
