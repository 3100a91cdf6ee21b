#include "files/capture_file.h"

#include <fmt/format.h>

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

Result<Columns> read_columns(const std::vector<Cell>& header) {
  std::optional<std::size_t> level, duration;
  for (std::size_t i = 0; i < header.size(); ++i) {
    const std::string_view name = trimmed(header[i].text);
    std::optional<std::size_t>* column = nullptr;
    if (name == kLevel) {
      column = &level;
    } else if (name == kDuration) {
      column = &duration;
    } else {
      return bad_input(fmt::format("there is no column '{}', expected level,duration_us in the "
                                   "first line, or a VCD file",
                                   quotable(name)),
                       place_of(header[i]));
    }
    if (*column) {
      return bad_input(fmt::format("column {} is there twice, expected it once", name),
                       place_of(header[i]));
    }
    *column = i;
  }
  if (!level || !duration) {
    return bad_input(fmt::format("column {} is missing, expected level,duration_us in the first "
                                 "line",
                                 level ? kDuration : kLevel),
                     place_of(header.front()));
  }
  return Columns{*level, *duration, header.size()};
}

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

Result<Pulse> read_pulse(const std::vector<Cell>& row, const Columns& columns, char separator) {
  if (row.size() != columns.count) {
    const Cell& odd = row.size() > columns.count ? row[columns.count] : row.back();
    return bad_input(fmt::format("this row has {} cells, expected {} as in the first line",
                                 row.size(), columns.count),
                     place_of(odd));
  }
  const Cell& level = row[columns.level];
  const std::string_view shown = trimmed(level.text);
  if (shown != "0" && shown != "1") {
    return bad_input(
        fmt::format("level is '{}', expected 1 for a mark or 0 for a space", quotable(shown)),
        place_of(level));
  }
  const Cell& duration = row[columns.duration];
  const auto value = number(trimmed(duration.text), separator != ',');
  if (!value || *value <= 0) {
    return bad_input(fmt::format("duration_us is '{}', expected a number above 0",
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

Result<Capture> read_csv(std::string_view text) {
  const char separator = internal::separator_of(text);
  CellReader cells(text, separator);
  std::vector<Cell> row;
  RUNTRUE_TRY(const bool any, cells.next(row));
  if (!any) {
    return bad_input(
        "nothing is written here, expected a first line with level,duration_us, or a "
        "VCD file",
        {{}, 1, 1});
  }
  RUNTRUE_TRY(const Columns columns, read_columns(row));
  Capture capture;
  double whole_us = 0;
  while (true) {
    RUNTRUE_TRY(const bool more, cells.next(row));
    if (!more) return capture;
    RUNTRUE_TRY(const Pulse pulse, read_pulse(row, columns, separator));
    whole_us += pulse.duration_us;
    if (whole_us > kLongestCapture_us) {
      return bad_input("the recording is longer than 11 days up to here, expected a shorter one",
                       place_of(row.front()));
    }
    capture.pulses.push_back(pulse);
  }
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
