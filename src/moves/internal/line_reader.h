// Reads what may stand on one line of a move list, word by word.
#pragma once

#include <string>
#include <string_view>

#include "moves/internal/source_lines.h"
#include "moves/move_list.h"

namespace runtrue::moves_internal {

// A cursor over the words of one line. Every error carries the place of the word it is about, or
// the end of the line where a word is missing.
class LineReader {
 public:
  explicit LineReader(const SourceLine& line) : line_(line) {}

  [[nodiscard]] bool at_end() const { return next_ == line_.words.size(); }
  // The next word with its letters made small; "" at the end.
  [[nodiscard]] std::string peek() const;
  // Passes over the next word.
  Word take() { return line_.words[next_++]; }

  // What follows `behind`; `expected` says what that is in the message.
  [[nodiscard]] Result<Length> length(std::string_view behind);
  [[nodiscard]] Result<Angle> angle(std::string_view behind);
  [[nodiscard]] Result<Duration> time(std::string_view behind);
  [[nodiscard]] Result<Extent> extent(std::string_view behind);
  [[nodiscard]] Result<TurnExtent> turn_extent(std::string_view behind);
  [[nodiscard]] Result<Side> side(std::string_view behind);
  [[nodiscard]] Result<int> whole_number(std::string_view behind, std::string_view what, int lowest,
                                         int highest);
  [[nodiscard]] Result<void> keyword(std::string_view expected, std::string_view behind,
                                     std::string_view example);
  [[nodiscard]] Result<Word> name(std::string_view behind);
  [[nodiscard]] Result<void> end(std::string_view behind);

  [[nodiscard]] tl::unexpected<Error> fault(std::string message, int column) const;

 private:
  enum class Kind { kLength, kAngle, kTime };
  struct Measure {
    Kind kind;
    double value;  // mm, deg or s
    int column;
    std::string written;
  };
  struct Wanted {
    std::string_view example;  // "a length or a time, as in 300 mm or 1.5 s"
    std::string_view units;    // "mm, cm, m or in for a length, s or ms for a time"
    bool length, angle, time;
  };
  [[nodiscard]] Result<Measure> measure(std::string_view behind, const Wanted& wanted);
  [[nodiscard]] Result<Measure> in_range(Measure measure, std::string_view behind) const;

  const SourceLine& line_;
  std::size_t next_ = 0;
};

// The words that begin a line, and all words of the language.
[[nodiscard]] bool is_language_word(std::string_view lower_word);
// "'trun' is not a move; did you mean 'turn'?"
[[nodiscard]] std::string unknown_move(const Word& word, std::string_view meant);
// The beginning of a line that was most likely meant, "" for none.
[[nodiscard]] std::string meant_beginning(std::string_view lower_word);

}  // namespace runtrue::moves_internal
