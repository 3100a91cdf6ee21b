// The help, the man page and the completion name the same commands and options.
#include <algorithm>
#include <fstream>
#include <iterator>
#include <set>
#include <sstream>

#include "tests/system/program.h"

namespace runtrue {
namespace {

using Call = std::vector<std::string>;

// Every command with those below it, as `--help` lists them, and the words it is asked with.
std::vector<std::string> names_under(const std::string& help, const std::string& heading) {
  std::vector<std::string> names;
  std::istringstream lines(help);
  bool within = false;
  for (std::string line; std::getline(lines, line);) {
    if (line == heading) {
      within = true;
    } else if (line.empty()) {
      within = false;
    } else if (within && line.size() > 2 && line[2] != ' ') {
      names.push_back(line.substr(2, line.find_first_of(" \n", 2) - 2));
    }
  }
  return names;
}

class Help : public Bench {
 protected:
  [[nodiscard]] std::string help(Call call) const {
    call.emplace_back("--help");
    const Outcome outcome = run(call);
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    return outcome.out;
  }
  // All commands that do something.
  [[nodiscard]] std::vector<Call> commands() const {
    std::vector<Call> calls;
    for (const std::string& name : names_under(help({}), "Commands:")) {
      if (name == "help") continue;
      const auto below = names_under(help({name}), "Commands:");
      for (const std::string& sub : below) calls.push_back({name, sub});
      if (below.empty()) calls.push_back({name});
    }
    return calls;
  }
};

std::string source(const std::string& name) {
  std::ifstream file(RUNTRUE_SOURCE "/" + name);
  return {std::istreambuf_iterator<char>(file), {}};
}

// What bash would offer for the words so far, the last one being completed.
std::set<std::string> offered(const Call& words) {
  std::string script = "source " RUNTRUE_SOURCE "/completion/runtrue.bash; COMP_WORDS=(";
  for (const std::string& word : words) script += "'" + word + "' ";
  script += "); COMP_CWORD=" + std::to_string(words.size() - 1) +
            "; _runtrue; printf '%s\\n' \"${COMPREPLY[@]}\"";
  const Outcome outcome = run_program_at("/bin/bash", {"-c", script});
  EXPECT_EQ(outcome.err, "");
  std::istringstream lines(outcome.out);
  std::set<std::string> words_offered;
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty()) words_offered.insert(line);
  }
  return words_offered;
}

TEST_F(Help, Version_IsOneLine) {
  const Outcome outcome = run({"--version"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_EQ(outcome.out, "runtrue " RUNTRUE_VERSION "\n");
}

TEST_F(Help, EveryCommand_HasUsageExamplesAndLinesOfAScreen) {
  const std::vector<Call> calls = commands();
  EXPECT_EQ(calls.size(), 20U);
  for (const Call& call : calls) {
    const std::string text = help(call);
    SCOPED_TRACE(call.back());
    EXPECT_TRUE(text.starts_with("Usage: runtrue " + call.front())) << text;
    EXPECT_NE(text.find("Example"), std::string::npos) << text;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
      if (!line.starts_with("  runtrue")) {
        EXPECT_LE(line.size(), 100U) << line;
      }
    }
  }
  EXPECT_EQ(run({"help", "moves", "format"}).out, help({"moves", "format"}));
  EXPECT_EQ(run({"help"}).out, help({}));
}

TEST_F(Help, Examples_AreReadByTheParser) {
  // Every example line of every help, with its files absent: nothing but the file may be at fault.
  for (const Call& call : commands()) {
    std::istringstream lines(help(call));
    for (std::string line; std::getline(lines, line);) {
      if (!line.starts_with("  runtrue ") || line.find(" serve") != std::string::npos) continue;
      if (line.ends_with('\\')) {
        std::string rest;
        std::getline(lines, rest);
        line = line.substr(0, line.size() - 1) + rest;
      }
      const std::string command = line.substr(line.find("runtrue ") + 8);
      std::ofstream("my.moves") << kMoves;
      const Outcome outcome =
          run_program_at("/bin/sh", {"-c", "exec " RUNTRUE_PROGRAM " " + command});
      for (const char* parser :
           {"runtrue ", "runtrue: ", "--", "WHAT", "NAME", "KEY", "PROTOCOL"}) {
        EXPECT_FALSE(outcome.err.starts_with(parser)) << line << outcome.err;
      }
    }
  }
}

TEST_F(Help, ManPage_NamesEveryCommandAndOption) {
  std::string page = source("docs/runtrue.1");
  std::erase(page, '\\');
  for (const Call& call : commands()) {
    std::string name = "runtrue";
    for (const std::string& word : call) name += " " + word;
    EXPECT_NE(page.find(".B " + name + "\n"), std::string::npos) << name;
    for (const std::string& option : names_under(help(call), "Options:")) {
      EXPECT_NE(page.find(option), std::string::npos) << option << " of " << name;
    }
  }
  EXPECT_NE(page.find(run({"--version"}).out.substr(0, 13)), std::string::npos) << "its version";
}

TEST_F(Help, ManPage_IsWellFormed) {
  const Outcome outcome = run_program_at(
      "/bin/sh",
      {"-c", "LC_ALL=C.UTF-8 man --warnings -l " RUNTRUE_SOURCE "/docs/runtrue.1 2>&1 > page"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_EQ(outcome.out, "");
}

TEST_F(Help, Completion_OffersExactlyTheOptionsOfTheHelp) {
  for (const Call& call : commands()) {
    Call words{"runtrue"};
    words.insert(words.end(), call.begin(), call.end());
    words.insert(words.end(), {"x", "y", "--"});
    const auto options = names_under(help(call), "Options:");
    EXPECT_EQ(offered(words), std::set<std::string>(options.begin(), options.end()))
        << call.front() << " " << call.back();
  }
}

TEST_F(Help, Completion_OffersCommandsAndFiles) {
  auto names = names_under(help({}), "Commands:");
  std::set<std::string> all(names.begin(), names.end());
  all.insert({"--help", "--version"});
  EXPECT_EQ(offered({"runtrue", ""}), all);
  EXPECT_EQ(offered({"runtrue", "fo"}), std::set<std::string>{"forecast"});
  EXPECT_EQ(offered({"runtrue", "moves", "fo"}), std::set<std::string>{"format"});
  EXPECT_EQ(offered({"runtrue", "record", "import", "ta"}), std::set<std::string>{"table"});
  EXPECT_EQ(offered({"runtrue", "advise", "rob"}), std::set<std::string>{"robot.json"});
  EXPECT_EQ(offered({"runtrue", "settings", "a", "b", "--header", "ru"}),
            std::set<std::string>{"runs.csv"});
}

}  // namespace
}  // namespace runtrue
