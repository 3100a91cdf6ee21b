// Captures of a receiver's line as files: CSV `level,duration_us`, and VCD (IEEE 1364).
//
// CSV: the first line names the columns, in any order, small letters or capitals, among others that
// are passed over; where it is a row of two numbers already, the level is the first that is 0 or 1.
// A row is a level (1 = mark, 0 = space) and how long it lasted; one that lasted 0 was never there.
// Lines that are empty or begin with # are passed over. Cells as in runs_csv.h.
//
// VCD: one signal of one bit. A receiver's line is low while it hears the carrier, so 0 is a mark;
// `read_capture` (remote/reading.h) notices a line that is the other way round. Time begins at 0
// with the level that is known first. x and z let the level stay that was. A dump tells changes
// alone, so a level that begins at the last time of the file lasts on: for kLastLevel_us.
#pragma once

#include <string>
#include <string_view>

#include "remote/capture.h"
#include "units/result.h"

namespace runtrue {

// More than the silence that ends a frame.
inline constexpr double kLastLevel_us = 10000;
// 11.5 days: longer recordings are refused.
inline constexpr double kLongestCapture_us = 1e12;

// Which of the two forms the text has is told by its first sign: a VCD file's is `$`. Errors (bad
// input, with line and column): not UTF-8; CSV: as runs_csv.h, and a level that is not 0 or 1, a
// negative duration; VCD: a command that is not closed, no signal or more than one, a
// signal of more bits than one, no timescale, a change of a signal that was not declared, a time
// that goes back; both: longer than kLongestCapture_us.
[[nodiscard]] Result<Capture> read_capture_file(std::string_view text, std::string_view file_name);

// read(write(capture)) has the same pulses: CSV to the last bit, VCD to its step of 1 µs, with
// neighbours of one level put together.
[[nodiscard]] std::string write_capture_csv(const Capture& capture);
[[nodiscard]] std::string write_capture_vcd(const Capture& capture);

}  // namespace runtrue
