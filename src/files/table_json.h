// TABLE.json: a table as a file (docs/formats/files.md).
#pragma once

#include <string>
#include <string_view>

#include "files/json_number.h"
#include "files/placed_json.h"
#include "forecast/table.h"
#include "units/result.h"

namespace runtrue {

// The checked table of a TABLE.json text; `walled` is false and `obstacles` empty where left out.
// Errors (bad input, with line and column): everything `parse_json` refuses, a key that is missing,
// unknown or of the wrong type, an obstacle that is neither circle nor polygon or both, and what
// `check_table` finds.
[[nodiscard]] Result<Table> read_table(std::string_view text, std::string_view file_name);

// The same from a value within a larger document.
[[nodiscard]] Result<Table> table_from(const PlacedJson& value);

[[nodiscard]] Json table_document(const Table& table);

// Where the table ends, for a drawing: [{"from_mm", "to_mm", "walled"}], the table to the left.
[[nodiscard]] Json sides_document(const Table& table);
[[nodiscard]] std::string write_table(const Table& table);

}  // namespace runtrue
