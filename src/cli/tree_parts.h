// What the commands' trees share: words for the files they take, options and readers of values that
// several have.
//
// Included by the files of this folder that parse, alone (see command_tree.h).
#pragma once

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <charconv>
#include <cstdint>
#include <string>
#include <system_error>

#include "cli/commands.h"
#include "units/result.h"

namespace runtrue {

inline constexpr const char* kRobotFile =
    "the robot's description: name, track width, trim range and more";
inline constexpr const char* kRunsFile = "its runs, one a line, with a header line";
inline constexpr const char* kMovesFile = "the list of moves, one a line";

// `--json`; `--data SET.sqlite`, with the record's usual file; a file that must be named.
void add_json(CLI::App* app, Form& form);
void add_data(CLI::App* app, std::string& file);
CLI::Option* add_file(CLI::App* app, const char* name, std::string& file, const char* what);

// Any text. A name that a picture can be drawn to. A seed: a whole number of 64 bits.
[[nodiscard]] Result<std::string> read_any(const std::string& text);
[[nodiscard]] Result<std::string> read_picture(const std::string& text);
[[nodiscard]] Result<std::uint64_t> read_seed(const std::string& text);

// A whole number within bounds.
template <class T>
[[nodiscard]] Result<T> read_whole(const std::string& text, T lowest, T highest) {
  T value{};
  const char* end = text.data() + text.size();
  const auto [stopped, code] = std::from_chars(text.data(), end, value);
  if (code != std::errc() || stopped != end || value < lowest || value > highest) {
    return bad_input(
        fmt::format("'{}', expected a whole number from {} to {}", text, lowest, highest));
  }
  return value;
}

}  // namespace runtrue
