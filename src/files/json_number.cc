#include "files/json_number.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdint>
#include <cstdlib>

namespace runtrue {
namespace {

constexpr double kWholeUpTo = 9007199254740992.0;  // 2^53: beyond it doubles skip whole numbers

}  // namespace

Json exact_number(double value) {
  if (!std::isfinite(value)) return nullptr;
  if (value == std::floor(value) && std::abs(value) < kWholeUpTo) {
    return static_cast<std::int64_t>(value);
  }
  return value;
}

Json rounded_number(double value) {
  if (!std::isfinite(value)) return nullptr;
  return exact_number(std::strtod(fmt::format("{:.6g}", value).c_str(), nullptr));
}

double exact_degrees(Angle angle) {
  for (int digits = 6; digits <= 17; ++digits) {
    const double degrees =
        std::strtod(fmt::format("{:.{}g}", angle.deg(), digits).c_str(), nullptr);
    if (Angle::from_deg(degrees).rad() == angle.rad()) return degrees;
  }
  // The quotient may miss by a bit either way.
  for (const double towards : {-HUGE_VAL, HUGE_VAL}) {
    const double degrees = std::nextafter(angle.deg(), towards);
    if (Angle::from_deg(degrees).rad() == angle.rad()) return degrees;
  }
  return angle.deg();
}

std::string document_text(const Json& document) {
  return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace runtrue
