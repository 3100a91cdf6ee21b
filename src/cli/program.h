// The whole program but for `main`: parses, does, prints, and answers the exit status.
#pragma once

#include <span>
#include <string>

#include "server/assets.h"

namespace runtrue {

// Prints the answer on standard output, or on standard error one line that says what is wrong; for
// a fault in a move list its source line and a caret follow. Where it could not be done standard
// output stays empty. An answer that cannot be printed (a full disk, a closed pipe) counts as not
// done.
[[nodiscard]] int run_program(std::span<const std::string> words, std::span<const Asset> page);

}  // namespace runtrue
