// Things in a record by their names.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/commands.h"
#include "record/record.h"
#include "units/result.h"

namespace runtrue {

// The words of the command line: "set" "robot" "runs" "table" "moves".
[[nodiscard]] std::string_view word_of(RecordPart part);

// The id of the robot (also for its runs), table or move list of that name. Error (kNotFound): none
// of that name, with one that may have been meant.
[[nodiscard]] Result<RecordId> id_named(const Record& record, RecordPart part,
                                        std::string_view name);

}  // namespace runtrue
