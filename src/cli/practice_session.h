// What a person types at a practice robot, a line at a time, and what it answers.
//
// No input or output: the command (practice.cc) reads and prints. A line that can't be used changes
// nothing.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "link/practice.h"
#include "moves/compile.h"

namespace runtrue {

// How true the robot became.
struct PracticeEnd {
  std::string words;
  std::string document;  // JSON, docs/formats/files.md
  bool trued = false;    // at the trim that is set it drifts no more than kTrued_mm_per_m
};

class PracticeSession {
 public:
  // Error (environment): as Practice::begin.
  [[nodiscard]] static Result<PracticeSession> begin(const PracticeOptions& options);

  // What is said before the first line.
  [[nodiscard]] std::string welcome() const;
  // What the line brings, in words. Errors (bad input, with the column): a word that is not known,
  // a value that can't be read or lies outside its range, what the robot refuses.
  [[nodiscard]] Result<std::string> take(std::string_view line);
  // `end` was typed.
  [[nodiscard]] bool ended() const { return ended_; }

  [[nodiscard]] Result<PracticeEnd> outcome() const;

 private:
  explicit PracticeSession(std::unique_ptr<Practice> practice) : practice_(std::move(practice)) {}

  struct Word;
  static const std::vector<Word>& words();

  Result<std::string> advise(std::string_view);
  Result<std::string> set_trim(std::string_view rest);
  Result<std::string> set_level(std::string_view rest);
  Result<std::string> set_lines(std::string_view rest);
  Result<std::string> run_advised(std::string_view);
  Result<std::string> run_straight(std::string_view);
  Result<std::string> run_left(std::string_view rest);
  Result<std::string> run_right(std::string_view rest);
  Result<std::string> note(std::string_view rest);
  Result<std::string> forget(std::string_view);
  Result<std::string> list_runs(std::string_view);
  Result<std::string> load_moves(std::string_view rest);
  Result<std::string> press(std::string_view rest);
  Result<std::string> clear(std::string_view);
  Result<std::string> go(std::string_view);
  Result<std::string> hold(std::string_view rest);
  Result<std::string> charge(std::string_view);
  Result<std::string> score(std::string_view);
  Result<std::string> help(std::string_view);
  Result<std::string> end(std::string_view);

  Result<std::string> turn(std::string_view rest, bool to_the_left);
  Result<std::string> make(const NextRun& run);
  Result<Truing> truing() const;
  // Those of the runs noted so far, at the trim that is set.
  Result<DriveSettings> settings() const;

  std::unique_ptr<Practice> practice_;
  std::vector<Run> noted_;
  std::optional<Run> read_;  // what the tape shows of the last run, not noted yet
  std::vector<CompiledMove> list_;
  Trim trim_;
  Level level_{practice_->robot().level_usual};
  Length half_line_ = Length::from_mm(600), line_ = Length::from_mm(1200);
  bool ended_ = false;
};

}  // namespace runtrue
