// The 16-bit frame check sequence of the line and of everything kept in non-volatile memory.
//
// Freestanding C++14. Polynomial x^16 + x^12 + x^5 + 1, least bit first, start 0xFFFF, complemented
// at the end [Rfc1662, C.2]. It finds every error of up to three bits in what is sent here and
// every burst of up to 16; of other garbage it takes one in 65536 for good.
#pragma once

#include <stdint.h>

namespace runtrue {
namespace robot {

constexpr uint16_t kFcsStart = 0xFFFF;
// What `fcs16_add` has come to behind a text and its own check sequence, low byte first.
constexpr uint16_t kFcsGood = 0xF0B8;

uint16_t fcs16_add(uint16_t fcs, uint8_t byte);

// The check sequence of a whole text.
uint16_t fcs16(const uint8_t* bytes, uint16_t size);

}  // namespace robot
}  // namespace runtrue
