// What the commands about hand remotes answer, as JSON (docs/formats/files.md, "Answers").
#pragma once

#include <string_view>

#include "files/json_number.h"
#include "remote/learning.h"
#include "remote/reading.h"
#include "remote/time_out.h"

namespace runtrue {

// One of `files` of `runtrue remote read`: file, inverted, period_us or null, frames [{protocol,
// address, command, repeat, start_us, margin_us; extended and toggle where the protocol has them;
// since_last_us where the key is still held}], refused [{start_us, pulses, why, because}]. A repeat
// frame has no address and no command of its own.
[[nodiscard]] Json capture_reading_document(std::string_view file, const CaptureReading& reading);

// `runtrue remote learn`: name, structure and keys as in remote_json.h without the trains
// themselves, period_us, margin_us or null.
[[nodiscard]] Json learned_document(const LearnedRemote& remote);

// `runtrue remote time-out`: period_ms, frame_ms, loss_percent, tick_ms, speed_mm_per_s,
// reaction_s, choices [{ticks, shortest_s, longest_s, rides_over, stutters_per_minute,
// mean_run_on_mm, farthest_run_on_mm}], suggested (one of them).
[[nodiscard]] Json time_out_document(const HoldCase& c, const TimeOutAdvice& advice);

}  // namespace runtrue
