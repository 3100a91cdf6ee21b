// Rows and cells of a text table, RFC 4180.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "units/result.h"

namespace runtrue::internal {

struct Cell {
  std::string text;
  int line = 0;
  int column = 0;
  bool quoted = false;  // blanks at its ends belong to it
};

// Quoted cells may hold separators, quotes doubled, and line breaks. LF, CRLF and a lone CR all end
// a line.
class CellReader {
 public:
  CellReader(std::string_view text, char separator) : text_(text), separator_(separator) {}

  // The next row that is not an empty line; false at the end of the text. Errors: a quote that is
  // not closed, text after a closing quote.
  Result<bool> next(std::vector<Cell>& row);

 private:
  void step();
  void end_line();
  Result<void> quoted(Cell& cell);

  std::string_view text_;
  char separator_;
  std::size_t at_ = 0;
  int line_ = 1;
  int column_ = 1;
};

// Without blanks and tabs at its ends.
[[nodiscard]] std::string_view trimmed(std::string_view text);

// Which of comma, semicolon and tab parts the cells of the first line; comma where none does.
[[nodiscard]] char separator_of(std::string_view text);

}  // namespace runtrue::internal
