// REMOTE.json: a learned remote (docs/formats/remote.schema.json).
#pragma once

#include <string>
#include <string_view>

#include "remote/learning.h"
#include "units/result.h"

namespace runtrue {

// {"name", "period_us", "margin_us", "structure" {"coding", "header_mark_us", "header_space_us",
// "unit_us", "bits"}, "repeat_us" [us], "keys" [{"name", "trains", "odd_trains", then "protocol",
// "address", "command", "extended", or "bits" and "forms_us" [[us]]}]}; what is not known is left
// out.
[[nodiscard]] std::string write_remote(const LearnedRemote& remote);

// read(write(remote)) is the same remote. Errors (bad input, with line and column): not JSON, a key
// missing or unknown, a protocol not known here, a form of an even number of pulses or with one
// that is not above 0, a key with neither code nor forms, a name twice.
[[nodiscard]] Result<LearnedRemote> read_remote(std::string_view text, std::string_view file_name);

}  // namespace runtrue
