#include "files/capture_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

#include "files/internal/capture_vcd.h"
#include "files/internal/csv_cells.h"
#include "files/text_file.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

using internal::Cell;
using internal::CellReader;
using internal::trimmed;

constexpr std::string_view kLevel = "level";
constexpr std::string_view kDuration = "duration_us";

Place place_of(const Cell& cell) { return {{}, cell.line, cell.column}; }

struct Columns {
  std::size_t level = 0, duration = 0, count = 0;
};

std::optional<double> number(std::string_view text, bool comma_may_be_decimal) {
  std::string digits(text);
  if (comma_may_be_decimal) {
    if (const auto comma = digits.find(','); comma != std::string::npos) digits[comma] = '.';
  }
  double value = 0;
  const char* end = digits.data() + digits.size();
  const auto [stopped, code] = std::from_chars(digits.data(), end, value);
  if (code != std::errc() || stopped != end || !std::isfinite(value)) return std::nullopt;
  return value;
}

bool is_level(const Cell& cell) { return trimmed(cell.text) == "0" || trimmed(cell.text) == "1"; }

std::string lower(std::string_view text) {
  std::string small(text);
  for (char& c : small) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return small;
}

// Columns of a file that begins with its first level: a row of two numbers.
std::optional<Columns> columns_without_names(const std::vector<Cell>& row) {
  if (row.size() != 2) return std::nullopt;
  const bool level_first = is_level(row[0]);
  const Cell& duration = row[level_first ? 1 : 0];
  if (!level_first && !is_level(row[1])) return std::nullopt;
  if (!number(trimmed(duration.text), true)) return std::nullopt;
  return Columns{level_first ? 0U : 1U, level_first ? 1U : 0U, 2};
}

Result<Columns> read_columns(const std::vector<Cell>& header) {
  std::optional<std::size_t> level, duration;
  for (std::size_t i = 0; i < header.size(); ++i) {
    const std::string name = lower(trimmed(header[i].text));
    if (name != kLevel && name != kDuration) continue;
    std::optional<std::size_t>& column = name == kLevel ? level : duration;
    if (column) {
      return bad_input(fmt::format("column {} is there twice, expected it once", name),
                       place_of(header[i]));
    }
    column = i;
  }
  if (!level || !duration) {
    return bad_input(fmt::format("there is no column {}, expected level,duration_us in the first "
                                 "line, or a VCD file",
                                 level ? kDuration : kLevel),
                     place_of(header.front()));
  }
  return Columns{*level, *duration, header.size()};
}

Result<Pulse> read_pulse(std::vector<Cell>& row, const Columns& columns, char separator) {
  while (row.size() > columns.count && trimmed(row.back().text).empty()) row.pop_back();
  if (row.size() != columns.count) {
    const Cell& odd = row.size() > columns.count ? row[columns.count] : row.back();
    return bad_input(fmt::format("this row has {} cells, expected {} as in the first line",
                                 row.size(), columns.count),
                     place_of(odd));
  }
  const Cell& level = row[columns.level];
  const std::string_view shown = trimmed(level.text);
  if (!is_level(level)) {
    return bad_input(
        fmt::format("level is '{}', expected 1 for a mark or 0 for a space", quotable(shown)),
        place_of(level));
  }
  const Cell& duration = row[columns.duration];
  const auto value = number(trimmed(duration.text), separator != ',');
  if (!value || *value < 0) {
    return bad_input(fmt::format("duration_us is '{}', expected microseconds, 0 or more",
                                 quotable(trimmed(duration.text))),
                     place_of(duration));
  }
  if (*value > kLongestCapture_us) {
    return bad_input(fmt::format("duration_us is '{}', expected at most 11 days",
                                 quotable(trimmed(duration.text))),
                     place_of(duration));
  }
  return Pulse{shown == "1", *value};
}

bool is_blank(const std::vector<Cell>& row) {
  return std::all_of(row.begin(), row.end(), [](const Cell& c) { return trimmed(c.text).empty(); });
}

bool is_comment(const std::vector<Cell>& row) {
  return !row.front().quoted && trimmed(row.front().text).starts_with('#');
}

// Of the first line that is no comment and not empty.
char separator_of_table(std::string_view text) {
  while (true) {
    const auto begin = text.find_first_not_of(" \t\r\n");
    if (begin == std::string_view::npos || text[begin] != '#')
      return internal::separator_of(text.substr(std::min(text.size(), begin)));
    text.remove_prefix(std::min(text.size(), text.find_first_of("\r\n", begin)));
  }
}

Result<Capture> read_csv(std::string_view text) {
  Capture capture;
  std::optional<Columns> columns;
  const char separator = separator_of_table(text);
  CellReader cells(text, separator);
  std::vector<Cell> row;
  double whole_us = 0;
  while (true) {
    RUNTRUE_TRY(const bool more, cells.next(row));
    if (!more) break;
    if (is_blank(row) || is_comment(row)) continue;
    if (!columns) {
      columns = columns_without_names(row);
      if (!columns) {
        RUNTRUE_TRY(columns, read_columns(row));
        continue;
      }
    }
    RUNTRUE_TRY(const Pulse pulse, read_pulse(row, *columns, separator));
    whole_us += pulse.duration_us;
    if (whole_us > kLongestCapture_us) {
      return bad_input("the recording is longer than 11 days up to here, expected a shorter one",
                       place_of(row.front()));
    }
    if (pulse.duration_us > 0) capture.pulses.push_back(pulse);
  }
  if (!columns) {
    return bad_input(
        "nothing is written here, expected level,duration_us in the first line, or a "
        "VCD file",
        {{}, 1, 1});
  }
  return capture;
}

Result<Capture> read_either(std::string_view text) {
  text = without_mark(text);
  if (auto good = check_text(text); !good) return tl::unexpected(std::move(good).error());
  const auto first = text.find_first_not_of(" \t\r\n");
  const bool vcd = first != std::string_view::npos && text[first] == '$';
  return vcd ? internal::read_vcd(text) : read_csv(text);
}

}  // namespace

Result<Capture> read_capture_file(std::string_view text, std::string_view file_name) {
  auto capture = read_either(text);
  if (!capture) return tl::unexpected(std::move(capture).error().in_file(file_name));
  return capture;
}

std::string write_capture_csv(const Capture& capture) {
  std::string text = "level,duration_us\n";
  for (const Pulse& pulse : capture.pulses) {
    text += fmt::format("{},{}\n", pulse.mark ? 1 : 0, pulse.duration_us);
  }
  return text;
}

std::string write_capture_vcd(const Capture& capture) {
  std::string text =
      "$comment A receiver's line: 0 while it hears the carrier $end\n"
      "$timescale 1 us $end\n"
      "$var wire 1 ! IR $end\n"
      "$enddefinitions $end\n";
  double time_us = 0;
  std::optional<bool> before;
  for (const Pulse& pulse : capture.pulses) {
    if (before != pulse.mark) {
      text += fmt::format("#{:.0f}\n{}!\n", time_us, pulse.mark ? 0 : 1);
    }
    before = pulse.mark;
    time_us += pulse.duration_us;
  }
  return text + fmt::format("#{:.0f}\n", time_us);
}

}  // namespace runtrue
