#include "files/internal/csv_cells.h"

namespace runtrue::internal {

Result<bool> CellReader::next(std::vector<Cell>& row) {
  row.clear();
  while (at_ < text_.size()) {
    row.emplace_back();
    Cell& cell = row.back();
    cell.line = line_;
    cell.column = column_;
    if (text_[at_] == '"') {
      if (auto r = quoted(cell); !r) return tl::unexpected(std::move(r).error());
    } else {
      while (at_ < text_.size() && text_[at_] != separator_ && text_[at_] != '\n' &&
             text_[at_] != '\r') {
        cell.text += text_[at_];
        step();
      }
    }
    if (at_ < text_.size() && text_[at_] == separator_) {
      step();
      if (at_ == text_.size() || text_[at_] == '\n' || text_[at_] == '\r') {
        row.push_back({"", line_, column_, false});
      } else {
        continue;
      }
    }
    if (at_ < text_.size() && text_[at_] != '\n' && text_[at_] != '\r') {
      return bad_input("there is text after a closing quote, expected a separator or a new line",
                       {{}, line_, column_});
    }
    end_line();
    if (row.size() > 1 || !row.front().text.empty()) return true;
    row.clear();
  }
  return false;
}

void CellReader::step() {
  ++at_;
  if (at_ >= text_.size() || (static_cast<unsigned char>(text_[at_]) & 0xC0U) != 0x80U) ++column_;
}

void CellReader::end_line() {
  if (at_ >= text_.size()) return;
  if (text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n') ++at_;
  ++at_;
  ++line_;
  column_ = 1;
}

Result<void> CellReader::quoted(Cell& cell) {
  cell.quoted = true;
  step();
  while (at_ < text_.size()) {
    if (text_[at_] == '"') {
      step();
      if (at_ == text_.size() || text_[at_] != '"') return {};
      cell.text += '"';
      step();
    } else if (text_[at_] == '\n' || text_[at_] == '\r') {
      cell.text += '\n';
      end_line();
    } else {
      cell.text += text_[at_];
      step();
    }
  }
  return bad_input("a quote is not closed, expected '\"' at the end of the cell",
                   {{}, cell.line, cell.column});
}

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

char separator_of(std::string_view text) {
  const std::string_view first = text.substr(0, text.find_first_of("\r\n"));
  for (const char candidate : {',', ';', '\t'}) {
    if (first.find(candidate) != std::string_view::npos) return candidate;
  }
  return ',';
}

}  // namespace runtrue::internal
