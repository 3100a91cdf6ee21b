// What the commands about hand remotes answer, as JSON (docs/formats/files.md, "Answers").
#pragma once

#include <string_view>

#include "files/json_number.h"
#include "remote/reading.h"

namespace runtrue {

// One of `files` of `runtrue remote read`: file, inverted, period_us or null, frames [{protocol,
// address, command, repeat, start_us, margin_us; extended and toggle where the protocol has them;
// since_last_us where the key is still held}], refused [{start_us, pulses, why, because}]. A repeat
// frame has no address and no command of its own.
[[nodiscard]] Json capture_reading_document(std::string_view file, const CaptureReading& reading);

}  // namespace runtrue
