#include "cli/program.h"

#include <cstdio>
#include <variant>

#include "cli/command_line.h"
#include "cli/commands.h"

namespace runtrue {
namespace {

Result<Answer> run(const Told& told, Inputs&) { return Answer{told.text}; }

Result<Answer> answer_to(std::span<const std::string> words, std::span<const Asset> page,
                         Inputs& inputs) {
  RUNTRUE_TRY(Command command, parse_command_line(words));
  if (auto* serve = std::get_if<ServeArguments>(&command)) serve->page = page;
  return std::visit([&inputs](const auto& arguments) { return run(arguments, inputs); }, command);
}

void complain(const std::string& text) { std::fwrite(text.data(), 1, text.size(), stderr); }

}  // namespace

int run_program(std::span<const std::string> words, std::span<const Asset> page) {
  Inputs inputs;
  const Result<Answer> answer = answer_to(words, page, inputs);
  if (!answer) {
    complain(answer.error().one_line() + "\n" + inputs.source_of(answer.error()));
    return static_cast<int>(Exit::kBadInput);
  }
  const std::string& text = answer->text;
  if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0) {
    complain("standard output: cannot be written, expected a place with room for the answer\n");
    return static_cast<int>(Exit::kBadInput);
  }
  return static_cast<int>(answer->exit);
}

}  // namespace runtrue
