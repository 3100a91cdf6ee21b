// Numbers and documents as the project writes them in JSON: same input, same text.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "units/quantity.h"

namespace runtrue {

// Keys stay in the order they were put in, which is fixed everywhere.
using Json = nlohmann::ordered_json;

// The number without loss; whole ones without ".0"; null where it is not finite.
[[nodiscard]] Json exact_number(double value);

// The number at six significant digits: for answers, whose intervals are far wider than that.
[[nodiscard]] Json rounded_number(double value);

// The shortest number of degrees that Angle::from_deg turns into exactly this angle.
[[nodiscard]] double exact_degrees(Angle angle);

// A document as a file: indented by two, one line break at its end.
[[nodiscard]] std::string document_text(const Json& document);

}  // namespace runtrue
