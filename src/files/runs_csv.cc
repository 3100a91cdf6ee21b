#include "files/runs_csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <utility>

#include "files/internal/csv_cells.h"
#include "files/json_number.h"
#include "files/suggestion.h"
#include "files/text_file.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

using internal::Cell;
using internal::CellReader;
using internal::separator_of;
using internal::trimmed;

enum Column : unsigned char {
  kKind,
  kLevel,
  kTrim,
  kSeconds,
  kHalfLine,
  kHalfSideways,
  kLine,
  kSideways,
  kDistance,
  kTurned,
  kBattery,
  kSurface,
  kLeftOut,
  kNote,
};
constexpr std::array<std::string_view, 14> kColumns{
    "kind",     "level",       "trim",        "seconds",    "half_line_mm", "half_sideways_mm",
    "line_mm",  "sideways_mm", "distance_mm", "turned_deg", "battery_v",    "surface",
    "left_out", "note"};

class RunReader {
 public:
  RunReader(char separator, const std::vector<Cell>& header) : separator_(separator) {
    where_.fill(-1);
    header_ = read_header(header);
  }

  [[nodiscard]] const Result<void>& header() const { return header_; }

  Result<Run> run(const std::vector<Cell>& row) {
    row_ = &row;
    error_.reset();
    if (row.size() != width_) {
      const Cell& odd = row.size() > width_ ? row[width_] : row.back();
      const bool comma = separator_ == ',' && row.size() > width_;
      return bad_input(
          fmt::format("this row has {} cells, expected {} as in the first line{}", row.size(),
                      width_, comma ? "; with decimal commas, part cells by semicolons" : ""),
          {{}, odd.line, odd.column});
    }
    Run run;
    run.row = row.front().line;
    const std::string_view kind = text(kKind);
    if (kind == "turn") {
      run.kind = RunKind::kTurn;
    } else if (kind != "straight") {
      fail(kKind, kind.empty()
                      ? "kind is empty, expected straight or turn"
                      : fmt::format("kind is '{}', expected straight or turn", quotable(kind)));
    }
    run.level = Level{whole(kLevel)};
    run.trim = Trim{whole(kTrim)};
    if (const auto s = number(kSeconds)) run.time = Duration::from_s(*s);
    run.half = reading(kHalfLine, kHalfSideways);
    run.end = reading(kLine, kSideways);
    if (const auto mm = number(kDistance)) run.distance = Length::from_mm(*mm);
    if (const auto deg = number(kTurned)) run.turned = Angle::from_deg(*deg);
    run.battery_v = number(kBattery);
    run.surface = text(kSurface);
    run.left_out = yes(kLeftOut);
    run.note = text(kNote);
    if (error_) return tl::unexpected(*error_);
    return run;
  }

  // Where a message of check_run points: it begins with the column's name, or speaks of the row.
  [[nodiscard]] Place place_of(std::string_view message, const std::vector<Cell>& row) const {
    const std::string_view name = message.substr(0, message.find(' '));
    const auto found = std::find(kColumns.begin(), kColumns.end(), name);
    const int at =
        found == kColumns.end() ? -1 : where_[static_cast<std::size_t>(found - kColumns.begin())];
    const Cell& cell = row[at < 0 ? 0 : static_cast<std::size_t>(at)];
    return {{}, cell.line, cell.column};
  }

 private:
  Result<void> read_header(const std::vector<Cell>& header) {
    width_ = header.size();
    for (std::size_t i = 0; i < header.size(); ++i) {
      const std::string_view name = trimmed(header[i].text);
      const Place place{{}, header[i].line, header[i].column};
      const auto found = std::find(kColumns.begin(), kColumns.end(), name);
      if (found == kColumns.end()) {
        return bad_input(
            fmt::format("'{}' is no column of runs, expected a first line with kind,level,trim "
                        "and columns such as line_mm,sideways_mm{}",
                        quotable(name), did_you_mean(name, kColumns)),
            place);
      }
      int& where = where_[static_cast<std::size_t>(found - kColumns.begin())];
      if (where >= 0) {
        return bad_input(fmt::format("column {} is there twice, expected it once", name), place);
      }
      where = static_cast<int>(i);
    }
    for (const Column needed : {kKind, kLevel, kTrim}) {
      if (where_[needed] < 0) {
        return bad_input(
            fmt::format("column {} is missing, expected it in the first line", kColumns[needed]),
            {{}, header.front().line, header.front().column});
      }
    }
    return {};
  }

  [[nodiscard]] const Cell* cell(Column column) const {
    const int at = where_[column];
    return at < 0 ? nullptr : &(*row_)[static_cast<std::size_t>(at)];
  }

  [[nodiscard]] std::string_view text(Column column) const {
    const Cell* found = cell(column);
    if (found == nullptr) return {};
    return found->quoted ? std::string_view(found->text) : trimmed(found->text);
  }

  void fail(Column column, std::string message) {
    if (error_) return;
    const Cell* found = cell(column);
    error_ = Error{ErrorKind::kBadInput, std::move(message), {{}, found->line, found->column}};
  }

  std::optional<double> number(Column column) {
    const std::string_view written = text(column);
    if (written.empty()) return std::nullopt;
    std::string digits(written);
    if (const auto comma = digits.find(','); comma != std::string::npos && separator_ != ',') {
      if (sign_ == '.' && digits.find('.') == std::string::npos) {
        fail(column, fmt::format("{} is '{}' with a decimal comma, expected a point as in the rows "
                                 "before",
                                 kColumns[column], quotable(written)));
        return std::nullopt;
      }
      sign_ = ',';
      digits[comma] = '.';
    } else if (digits.find('.') != std::string::npos) {
      if (sign_ == ',') {
        fail(column, fmt::format("{} is '{}' with a decimal point, expected a comma as in the rows "
                                 "before",
                                 kColumns[column], quotable(written)));
        return std::nullopt;
      }
      sign_ = '.';
    }
    const char* first = digits.data() + (digits.starts_with('+') ? 1 : 0);
    const char* last = digits.data() + digits.size();
    double value = 0.0;
    const auto [end, code] = std::from_chars(first, last, value);
    if (code != std::errc() || end != last || !std::isfinite(value) ||
        (first != digits.data() && *first == '-')) {
      fail(column,
           fmt::format("{} is '{}', expected a number", kColumns[column], quotable(written)));
      return std::nullopt;
    }
    return value;
  }

  int whole(Column column) {
    if (text(column).empty()) {
      fail(column, fmt::format("{} is empty, expected a whole number", kColumns[column]));
      return 0;
    }
    const auto value = number(column);
    if (!value) return 0;
    constexpr double kMost = 1e9;  // further out is as wrong as this: check_run says so
    if (*value != std::floor(*value)) {
      fail(column, fmt::format("{} is '{}', expected a whole number", kColumns[column],
                               quotable(text(column))));
      return 0;
    }
    return static_cast<int>(std::clamp(*value, -kMost, kMost));
  }

  std::optional<LineReading> reading(Column line_column, Column sideways_column) {
    const auto line = number(line_column);
    const auto sideways = number(sideways_column);
    if (line && sideways) return LineReading{Length::from_mm(*line), Length::from_mm(*sideways)};
    if (line || sideways) {
      const Column there = line ? line_column : sideways_column;
      fail(there, fmt::format("{} is filled without {}, expected both or neither", kColumns[there],
                              kColumns[line ? sideways_column : line_column]));
    }
    return std::nullopt;
  }

  bool yes(Column column) {
    std::string word(text(column));
    for (char& c : word) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
    if (word == "yes" || word == "true" || word == "1") return true;
    if (!word.empty() && word != "no" && word != "false" && word != "0")
      fail(column, fmt::format("left_out is '{}', expected yes or no", quotable(text(column))));
    return false;
  }

  char separator_;
  std::array<int, kColumns.size()> where_{};
  std::size_t width_ = 0;
  Result<void> header_;
  const std::vector<Cell>* row_ = nullptr;
  std::optional<Error> error_;
  char sign_ = '\0';  // the decimal sign seen first
};

Result<std::vector<Run>> read_all(std::string_view text, const Robot* robot) {
  text = without_mark(text);
  if (auto good = check_text(text); !good) return tl::unexpected(std::move(good).error());
  const char separator = separator_of(text);
  CellReader cells(text, separator);
  std::vector<Cell> row;
  RUNTRUE_TRY(const bool any, cells.next(row));
  if (!any)
    return bad_input("nothing is written here, expected a first line with kind,level,trim",
                     {{}, 1, 1});
  RunReader reader(separator, row);
  if (!reader.header()) return tl::unexpected(reader.header().error());
  std::vector<Run> runs;
  while (true) {
    RUNTRUE_TRY(const bool more, cells.next(row));
    if (!more) return runs;
    RUNTRUE_TRY(Run run, reader.run(row));
    if (robot != nullptr) {
      if (auto r = check_run(run, *robot); !r) {
        Error error = std::move(r).error();
        error.place = reader.place_of(error.message, row);
        return tl::unexpected(std::move(error));
      }
    }
    runs.push_back(std::move(run));
  }
}

std::string written(double value) {
  std::array<char, 32> digits{};
  const auto [end, code] = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  return {digits.data(), end};
}

std::string cell_of(std::string_view text) {
  const bool plain =
      text.find_first_of(",;\t\"\r\n") == std::string_view::npos && trimmed(text) == text;
  if (plain) return std::string(text);
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + '"';
}

}  // namespace

Result<std::vector<Run>> read_runs(std::string_view text, std::string_view file_name) {
  auto runs = read_all(text, nullptr);
  if (!runs) return tl::unexpected(std::move(runs).error().in_file(file_name));
  return runs;
}

Result<std::vector<Run>> read_runs(std::string_view text, std::string_view file_name,
                                   const Robot& robot) {
  auto runs = read_all(text, &robot);
  if (!runs) return tl::unexpected(std::move(runs).error().in_file(file_name));
  return runs;
}

std::string write_runs(std::span<const Run> runs) {
  std::string text = fmt::format("{}\n", fmt::join(kColumns, ","));
  for (const Run& run : runs) {
    std::array<std::string, kColumns.size()> cells;
    cells[kKind] = run.kind == RunKind::kStraight ? "straight" : "turn";
    cells[kLevel] = std::to_string(run.level.value);
    cells[kTrim] = std::to_string(run.trim.value);
    if (run.time) cells[kSeconds] = written(run.time->s());
    if (run.half) {
      cells[kHalfLine] = written(run.half->line.mm());
      cells[kHalfSideways] = written(run.half->sideways.mm());
    }
    if (run.end) {
      cells[kLine] = written(run.end->line.mm());
      cells[kSideways] = written(run.end->sideways.mm());
    }
    if (run.distance) cells[kDistance] = written(run.distance->mm());
    if (run.turned) cells[kTurned] = written(exact_degrees(*run.turned));
    if (run.battery_v) cells[kBattery] = written(*run.battery_v);
    cells[kSurface] = cell_of(run.surface);
    if (run.left_out) cells[kLeftOut] = "yes";
    cells[kNote] = cell_of(run.note);
    text += fmt::format("{}\n", fmt::join(cells, ","));
  }
  return text;
}

}  // namespace runtrue
