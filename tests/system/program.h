// Runs the real executable, and the files it is run on.
#pragma once

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace runtrue {

struct Outcome {
  int status = -1;  // exit status, or 128 and the signal that ended it
  std::string out, err;
};

// Runs a program and waits for its end.
[[nodiscard]] Outcome run_program_at(const std::string& path, const std::vector<std::string>& words,
                                     std::string_view input = "");

// The document of a standard output; a test failure and null where it is none.
[[nodiscard]] nlohmann::json document_of(const Outcome& outcome);

// A robot, five runs after which it runs true (one with a comma as the separator, all columns), a
// list and a table, made up for these tests.
extern const char* const kRobot;
extern const char* const kRuns;
extern const char* const kOneRun;  // not enough to be sure
extern const char* const kMoves;
extern const char* const kTable;

// A folder of its own for each test, with the good files in it; the program is run there.
class Bench : public ::testing::Test {
 protected:
  Bench();
  ~Bench() override;

  [[nodiscard]] Outcome run(const std::vector<std::string>& words,
                            std::string_view input = "") const;
  void write(const std::string& name, std::string_view text) const;
  [[nodiscard]] std::string read(const std::string& name) const;
  [[nodiscard]] bool is_there(const std::string& name) const;
  [[nodiscard]] std::size_t file_count() const;
  [[nodiscard]] std::string path(const std::string& name) const {
    return (folder_ / name).string();
  }

 private:
  std::filesystem::path folder_;
};

// It could not be done: status 2, nothing on standard output, one line on standard error.
void expect_one_line(const Outcome& outcome, const std::string& line);
// The same, where the line begins and goes on with these.
void expect_refusal(const Outcome& outcome, const std::string& begins,
                    const std::vector<std::string>& says);

}  // namespace runtrue
