// Whole text files in and out: the one place that opens files for the readers of this folder.
//
// A text is UTF-8. What it means is not known here.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "units/result.h"

namespace runtrue {

// The largest text that is read, bytes: above a million runs, below what hurts a small computer.
inline constexpr std::size_t kLargestText_bytes = std::size_t{64} << 20;

// The text of the file at `path`, or of standard input where path is "-"; a byte order mark at its
// start is taken off. Errors, each naming the file: not there (kNotFound); a directory, no
// permission, a read that breaks off (kEnvironment); larger than `largest_bytes`, not UTF-8 (with
// line and column; kBadInput).
[[nodiscard]] Result<std::string> read_text(const std::string& path,
                                            std::size_t largest_bytes = kLargestText_bytes);

// Writes a text or a picture to `path`, or to standard output where path is "-". A file is there
// whole or, after an error, as it was: the bytes go to a new file beside it, onto the disk, which
// takes the name only then. Error (kEnvironment): what the system says, with the file.
[[nodiscard]] Result<void> write_file(const std::string& path, std::string_view bytes);

// Nothing, or where (line, column) `text` is not UTF-8 or holds a zero byte, which no text file
// does. Readers call it on text that did not come from `read_text`.
[[nodiscard]] Result<void> check_text(std::string_view text);

// The text without a byte order mark at its start.
[[nodiscard]] std::string_view without_mark(std::string_view text);

// Line and column (from 1; columns count characters, not bytes) of the byte at `offset`.
[[nodiscard]] Place place_at(std::string_view text, std::size_t offset);

}  // namespace runtrue
