// Reads VCD for capture_file.h.
#pragma once

#include <string_view>

#include "remote/capture.h"
#include "units/result.h"

namespace runtrue::internal {

[[nodiscard]] Result<Capture> read_vcd(std::string_view text);

}  // namespace runtrue::internal
