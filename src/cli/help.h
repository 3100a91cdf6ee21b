// The help of a command, as text for a terminal of 80 columns.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

namespace runtrue {

// What it does, how it is called, its arguments, options and commands, and examples (the app's
// footer, taken over as it is).
class HelpFormatter : public CLI::FormatterBase {
 public:
  std::string make_help(const CLI::App* app, std::string name,
                        CLI::AppFormatMode mode) const override;
};

// "runtrue record import"
[[nodiscard]] std::string full_name(const CLI::App& app);

// "runtrue advise ROBOT.json RUNS.csv [options]"
[[nodiscard]] std::string usage_of(const CLI::App& app);

}  // namespace runtrue
