#include "robot/rc6.h"

#include "robot/biphase.h"

namespace runtrue {
namespace robot {
namespace {

constexpr uint16_t kUnit_us = 444;
constexpr uint16_t kToggleInCommand = 0x800F;

uint32_t lowest(uint8_t bits) { return (static_cast<uint32_t>(1) << bits) - 1; }

bool read_mode_6a(const BiphaseBits& bits, Frame& frame) {
  const uint8_t body = static_cast<uint8_t>(bits.bits - 5);
  switch (body) {
    case 20:
      frame.protocol = Protocol::kRc6A20;
      break;
    case 24:
      frame.protocol = Protocol::kRc6A24;
      break;
    case 32:
      frame.protocol = Protocol::kRc6A32;
      break;
    default:
      return false;
  }
  const bool longer = (bits.value >> (body - 1) & 1) != 0;
  const uint8_t data = static_cast<uint8_t>(body - (longer ? 16 : 8));
  const uint32_t all = body == 32 ? bits.value : bits.value & lowest(body);
  frame.address = static_cast<uint16_t>(all >> data);
  frame.command = all & lowest(data);
  if (body == 32 && frame.address == kToggleInCommand) {
    frame.toggle = (frame.command & 0x8000) != 0;
    frame.command &= 0x7FFF;
  }
  return true;
}

}  // namespace

Refusal read_rc6(const PulseTrain& train, Frame& frame) {
  Margin margin;
  if (train.count < 3 || !margin.within(train.us[0], 4 * kUnit_us, 8 * kUnit_us) ||
      !margin.within(train.us[1], kUnit_us + kUnit_us / 4, 3 * kUnit_us)) {
    return Refusal::kHeader;
  }
  BiphaseBits bits;
  const Refusal refusal = read_biphase(train, {2, kUnit_us, false, false, 4}, bits, margin);
  if (refusal != Refusal::kNone) return refusal;
  const uint8_t mode = static_cast<uint8_t>(bits.head >> 1 & 7);
  if (bits.bits < 21 || (bits.head & 0x10) == 0) return Refusal::kBits;
  frame.toggle = (bits.head & 1) != 0;
  frame.margin_us = margin.least_us();
  if (mode == 6) return read_mode_6a(bits, frame) ? Refusal::kNone : Refusal::kBits;
  if (mode != 0 || bits.bits != 21) return Refusal::kBits;
  frame.protocol = Protocol::kRc6Mode0;
  frame.address = static_cast<uint16_t>(bits.value >> 8 & 0xFF);
  frame.command = bits.value & 0xFF;
  return Refusal::kNone;
}

}  // namespace robot
}  // namespace runtrue
