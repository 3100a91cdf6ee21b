// `runtrue practice`: a robot to practise with, in the terminal.
#include <fmt/format.h>
#include <unistd.h>

#include <iostream>

#include "cli/commands.h"
#include "cli/practice_session.h"

namespace runtrue {

Result<Answer> run(const PracticeArguments& arguments, Inputs&) {
  const bool by_hand = isatty(STDIN_FILENO) != 0;
  const bool talks = arguments.form == Form::kWords;
  PracticeOptions options;
  options.seed = arguments.seed;
  RUNTRUE_TRY(PracticeSession session, PracticeSession::begin(options));
  const auto say = [&](const std::string& text) {
    if (talks) std::cout << text << std::flush;
  };
  say(session.welcome());
  std::string line;
  for (int number = 1; !session.ended(); ++number) {
    if (by_hand) say("> ");
    if (!std::getline(std::cin, line)) break;
    auto said = session.take(line);
    if (said) {
      say(*said);
      continue;
    }
    Error error = std::move(said).error();
    if (error.place.file.empty()) error.place = {"-", number, error.place.column};
    // By hand one types it again; a script has gone another way than it was meant to.
    if (!by_hand) return tl::unexpected(std::move(error));
    std::cerr << error.one_line() << "\n";
  }
  RUNTRUE_TRY(PracticeEnd end, session.outcome());
  return Answer{talks ? "\n" + end.words : end.document, end.trued ? Exit::kDone : Exit::kNo};
}

}  // namespace runtrue
