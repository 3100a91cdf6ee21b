// A text as lines of words with their columns: the part of reading that knows no move.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "units/result.h"

namespace runtrue::moves_internal {

struct Word {
  std::string_view text;
  int column = 0;  // of its first character, from 1
};

// One line, cut into words at blanks, tabs and the blanks that word processors put in; the comment
// apart.
struct SourceLine {
  int number = 0;  // from 1
  std::vector<Word> words;
  std::string comment;
  int end_column = 1;  // just behind the last word
};

// The raw lines, without their ends: LF, CR LF or CR. A byte order mark in front is passed over; no
// line follows the last line end.
[[nodiscard]] std::vector<std::string_view> raw_lines(std::string_view text);

// Error with column: bytes that are not UTF-8, or a control character other than the tab.
[[nodiscard]] Result<SourceLine> cut_line(std::string_view raw, int number);

// How many characters the text holds; it must be UTF-8.
[[nodiscard]] int characters(std::string_view text);

// ASCII letters made small; other characters stay.
[[nodiscard]] std::string lower(std::string_view text);

}  // namespace runtrue::moves_internal
