#include "server/address_drawing.h"

#include <qrcodegen.hpp>

#include "units/result.h"

namespace runtrue {

std::string address_drawing(std::string_view address) {
  RUNTRUE_CHECK(address.size() <= 200);  // fits the largest code with room to spare
  constexpr int kQuiet = 4;
  const auto code =
      qrcodegen::QrCode::encodeText(std::string(address).c_str(), qrcodegen::QrCode::Ecc::MEDIUM);
  const auto light = [&](int x, int y) { return !code.getModule(x, y); };
  std::string drawing;
  for (int y = -kQuiet; y < code.getSize() + kQuiet; y += 2) {
    for (int x = -kQuiet; x < code.getSize() + kQuiet; ++x) {
      const bool upper = light(x, y);
      const bool lower = light(x, y + 1);
      drawing += upper && lower ? "█" : upper ? "▀" : lower ? "▄" : " ";
    }
    drawing += '\n';
  }
  return drawing;
}

}  // namespace runtrue
