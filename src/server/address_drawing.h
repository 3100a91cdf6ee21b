// An address as a QR code made of text, for a phone's camera to read off a terminal.
#pragma once

#include <string>
#include <string_view>

namespace runtrue {

// Two modules a character, one above the other, with the quiet zone of four modules that ISO/IEC
// 18004 asks for; drawn with light blocks on the terminal's ground and also readable where that is
// light, since readers take both. `address` is at most 200 characters.
[[nodiscard]] std::string address_drawing(std::string_view address);

}  // namespace runtrue
