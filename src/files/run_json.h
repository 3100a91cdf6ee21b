// A run as a JSON object: the columns of RUNS.csv as keys, empty ones left out (docs/api.md).
#pragma once

#include <string_view>

#include "files/json_number.h"
#include "files/placed_json.h"
#include "truing/run.h"
#include "units/result.h"

namespace runtrue {

// Without `row`, which its reader knows from where it stands.
[[nodiscard]] Json run_document(const Run& run);

// Reads the run's own keys from an object that may hold others (an id, a time, a key), which the
// caller asks for itself before `finish`. Where `finish` finds an error the run means nothing. The
// run still has to pass check_run.
[[nodiscard]] Run run_from(ObjectReader& object);

}  // namespace runtrue
