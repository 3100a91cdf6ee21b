// From the words of a command line to a command with its arguments; touches no file.
#pragma once

#include <span>
#include <string>

#include "cli/commands.h"
#include "units/result.h"

namespace runtrue {

// `words` without the program's own name. Errors (bad input, one line; the place's file is the
// option or the command): a command or option that is not there, with the one that was probably
// meant; an argument missing or too many; a value that cannot be read or lies outside its range;
// standard input named twice.
[[nodiscard]] Result<Command> parse_command_line(std::span<const std::string> words);

}  // namespace runtrue
