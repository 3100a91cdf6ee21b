#include "files/path_file.h"

#include <fmt/format.h>

#include <array>
#include <optional>
#include <string>

#include "files/internal/csv_cells.h"
#include "files/internal/svg_drawing.h"
#include "files/internal/svg_geometry.h"
#include "files/suggestion.h"
#include "files/text_file.h"
#include "units/spelling.h"
#include "units/typed.h"

namespace runtrue {
namespace {

using internal::Cell;

constexpr std::array<std::string_view, 2> kColumns{"x_mm", "y_mm"};

Result<double> number_in(const Cell& cell, std::string_view name, char separator) {
  const std::string_view text = internal::trimmed(cell.text);
  const Place place{{}, cell.line, cell.column};
  const auto value = typed_number(text);
  if (!value || (separator == ',' && text.find(',') != std::string_view::npos)) {
    return bad_input(fmt::format("{} is '{}', expected a number", name, quotable(text)), place);
  }
  return *value;
}

// Where x_mm and y_mm stand in the rows.
Result<std::array<std::size_t, 2>> columns_of(const std::vector<Cell>& header) {
  std::array<std::optional<std::size_t>, 2> where;
  for (std::size_t i = 0; i < header.size(); ++i) {
    const std::string_view name = internal::trimmed(header[i].text);
    const Place place{{}, header[i].line, header[i].column};
    std::size_t column = 0;
    while (column < 2 && kColumns[column] != name) ++column;
    if (column == 2) {
      return bad_input(fmt::format("'{}' is no column of a path, expected a first line x_mm,y_mm{}",
                                   quotable(name), did_you_mean(name, kColumns)),
                       place);
    }
    if (where[column]) {
      return bad_input(fmt::format("column {} is there twice, expected it once", name), place);
    }
    where[column] = i;
  }
  for (std::size_t column = 0; column < 2; ++column) {
    if (!where[column]) {
      return bad_input(fmt::format("column {} is missing, expected x_mm,y_mm", kColumns[column]),
                       {{}, 1, 1});
    }
  }
  return std::array<std::size_t, 2>{*where[0], *where[1]};
}

Result<std::vector<Point>> points_of_table(std::string_view text) {
  const char separator = internal::separator_of(text);
  internal::CellReader cells(text, separator);
  std::vector<Cell> row;
  RUNTRUE_TRY(const bool any, cells.next(row));
  if (!any) return bad_input("the file is empty, expected a first line x_mm,y_mm", {{}, 1, 1});
  RUNTRUE_TRY(const auto where, columns_of(row));
  std::vector<Point> points;
  while (true) {
    RUNTRUE_TRY(const bool more, cells.next(row));
    if (!more) return points;
    if (row.size() != 2) {
      const bool comma = separator == ',' && row.size() > 2;
      const Cell& odd = row[row.size() > 2 ? 2 : 0];
      return bad_input(fmt::format("this row has {} cells, expected 2{}", row.size(),
                                   comma ? "; with decimal commas, part cells by semicolons" : ""),
                       {{}, odd.line, odd.column});
    }
    RUNTRUE_TRY(const double x, number_in(row[where[0]], "x_mm", separator));
    RUNTRUE_TRY(const double y, number_in(row[where[1]], "y_mm", separator));
    points.push_back({Length::from_mm(x), Length::from_mm(y)});
    if (points.size() > internal::kMostSvgPoints) {
      return bad_input(fmt::format("it has more than {} points", internal::kMostSvgPoints),
                       {{}, row[0].line, 0});
    }
  }
}

}  // namespace

Result<std::vector<Point>> read_path(std::string_view text, std::string_view file_name,
                                     std::string_view id) {
  if (auto good = check_text(text); !good) {
    return tl::unexpected(std::move(good).error().in_file(file_name));
  }
  text = without_mark(text);
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  const bool drawing = first != std::string_view::npos && text[first] == '<';
  if (!drawing && !id.empty()) {
    return bad_input("an id goes with an SVG drawing alone, this is a table of points",
                     {std::string(file_name), 0, 0});
  }
  auto points = drawing ? internal::line_of_drawing(text.substr(first), id) : points_of_table(text);
  if (!points) return tl::unexpected(std::move(points).error().in_file(file_name));
  return points;
}

}  // namespace runtrue
