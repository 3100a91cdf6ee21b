// Reading a quantity as a person types it: "30 cm", "1.5", "2,5 s", "90 deg".
//
// A number may use a decimal point or a decimal comma; a unit may follow, with or without a space;
// without one the stated default unit holds. Exponents, NaN, infinity and trailing text are
// refused: nobody writes them on a bench.
#pragma once

#include <string_view>

#include "units/quantity.h"
#include "units/result.h"

namespace runtrue {

// A plain number with decimal point or comma. Errors: empty, not a number, text after the number,
// not finite.
[[nodiscard]] Result<double> typed_number(std::string_view text);
// mm (default) cm m in
[[nodiscard]] Result<Length> typed_length(std::string_view text);
// deg only; a bare number is degrees
[[nodiscard]] Result<Angle> typed_angle(std::string_view text);
// s (default) ms
[[nodiscard]] Result<Duration> typed_duration(std::string_view text);

}  // namespace runtrue
