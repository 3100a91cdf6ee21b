// RUNS.csv: a robot's runs as a table of text (docs/formats/files.md).
//
// The first line names the columns, in any order:
//   kind,level,trim,seconds,half_line_mm,half_sideways_mm,line_mm,sideways_mm,distance_mm,turned_deg,
//   battery_v,surface,left_out,note
// kind, level and trim must be there, the others may be left out; unused cells are empty. Cells are
// separated by commas, or by semicolons or tabs where the first line is; only then may numbers bear
// a decimal comma, and one file uses one decimal sign. Quoted cells as in RFC 4180.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "truing/run.h"
#include "units/result.h"

namespace runtrue {

// All runs in the order of the file, `row` the line each begins on; left_out is yes, no, true,
// false, 1, 0 in any case, or empty for no. The first thing wrong is told (bad input, with line and
// column) and no run is answered: empty file, a column that is unknown, named twice or missing,
// text or NaN for a number, part of a level or trim, a wrong number of cells, a quote that is not
// closed.
[[nodiscard]] Result<std::vector<Run>> read_runs(std::string_view text, std::string_view file_name);

// The same, and every run has passed `check_run` for that robot; its complaint gets the place of
// the cell it names.
[[nodiscard]] Result<std::vector<Run>> read_runs(std::string_view text, std::string_view file_name,
                                                 const Robot& robot);

// Comma-separated, all columns, lines ended by a line feed; numbers as the shortest decimals that
// read back to the same bits. read(write(runs)) equals the runs but for `row`.
[[nodiscard]] std::string write_runs(std::span<const Run> runs);

}  // namespace runtrue
