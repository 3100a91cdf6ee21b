// What unrolling a list would do, found out without doing it.
#pragma once

#include <vector>

#include "moves/move_list.h"

namespace runtrue::moves_internal {

// Everything that keeps a list from being unrolled (see `flatten`), in the order of the text; empty
// for a good list. Looks at parts that nothing does as well. Time linear in the list.
[[nodiscard]] std::vector<Error> unrolling_faults(const MoveList& list);

}  // namespace runtrue::moves_internal
