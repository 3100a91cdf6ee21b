// A move list as a person wrote it: parts, repeats and moves with their places in the text.
//
// `parse_moves` reads the language of docs/moves.md; `format_moves` writes it back in one fixed
// form; parse(format(list)) equals the list but for places. `flatten` unrolls repeats and parts
// into single moves. Nothing here knows a robot: levels and times are chosen by compile.h, keys by
// press_list.h.
//
// Columns count characters (not bytes) from 1; a tab is one character.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "units/quantity.h"
#include "units/result.h"

namespace runtrue {

enum class Side { kLeft, kRight };

// How far: a length, or a time for robots without a distance constant. Exactly one is set.
struct Extent {
  std::optional<Length> length;
  std::optional<Duration> time;
  friend bool operator==(const Extent&, const Extent&) = default;
};
struct TurnExtent {
  std::optional<Angle> angle;  // > 0, the side says which way
  std::optional<Duration> time;
  friend bool operator==(const TurnExtent&, const TurnExtent&) = default;
};

struct DriveMove {
  Extent extent;
  friend bool operator==(const DriveMove&, const DriveMove&) = default;
};
struct ReverseMove {
  Extent extent;
  friend bool operator==(const ReverseMove&, const ReverseMove&) = default;
};
struct TurnMove {
  Side side = Side::kLeft;
  TurnExtent extent;
  friend bool operator==(const TurnMove&, const TurnMove&) = default;
};
struct BendMove {
  Side side = Side::kLeft;
  Angle angle;
  Length radius;
  friend bool operator==(const BendMove&, const BendMove&) = default;
};
struct PauseMove {
  Duration time;
  friend bool operator==(const PauseMove&, const PauseMove&) = default;
};
struct AtLevel {
  Level level;
  friend bool operator==(const AtLevel&, const AtLevel&) = default;
};  // from here on
using SingleMove = std::variant<DriveMove, ReverseMove, TurnMove, BendMove, PauseMove, AtLevel>;

struct Statement;
struct Repeat {
  int times = 0;
  std::vector<Statement> body;
  std::string end_comment;  // behind its `end`
};
struct DoPart {
  std::string part;
  int column = 0;  // of the name
};
struct Remark {};  // a line without a move: its comment alone, or nothing at all
struct Statement {
  std::variant<SingleMove, Repeat, DoPart, Remark> what;
  int line = 0;         // of the text, from 1
  std::string comment;  // behind `#` on the same line, without it, blanks around it cut off
  int column = 0;       // of its first word
};

struct Part {
  std::string name;
  std::vector<Statement> body;
  int line = 0;
  int column = 0;           // of the name
  std::string comment;      // behind its first line
  std::string end_comment;  // behind its `end`
  std::size_t after = 0;    // how many statements of the list's own body are written above it
};

// Parts in the order of the text.
struct MoveList {
  std::vector<Part> parts;
  std::vector<Statement> body;
};

// One move after unrolling, with the place it came from.
struct FlatMove {
  SingleMove move;
  int line = 0;
  int column = 0;                          // of its first word
  [[nodiscard]] std::string text() const;  // "drive 300 mm"
};

// Longest list that is unrolled; more is refused as a list that never ends or is not meant.
inline constexpr int kMostMoves = 10000;

// Limits of the text, all arbitrary but far beyond what a person writes for a desk robot.
inline constexpr int kMostLines = 20000;
inline constexpr std::size_t kMostBytes = 1024 * 1024;
inline constexpr int kDeepestBlocks = 50;        // blocks inside blocks; also parts that do parts
inline constexpr int kLongestName = 40;          // characters of a part's name
inline constexpr std::size_t kMostFaults = 100;  // kept of one text; reading stops there

// Ranges of what a move may say. Text outside them is a fault; `format_moves` writes nothing that
// could not be read back for a list within them.
inline constexpr Length kShortestLength = Length::from_mm(0.1);
inline constexpr Length kLongestLength = Length::from_m(100);
inline constexpr Angle kSmallestAngle = Angle::from_deg(0.01);
inline constexpr Angle kLargestAngle = Angle::from_deg(36000);  // a hundred rounds
inline constexpr Duration kShortestTime = Duration::from_ms(1);
inline constexpr Duration kLongestTime = Duration::from_s(3600);
inline constexpr Level kHighestLevel{65535};

// What a text holds and everything that is wrong with it, in the order of the text. With faults the
// list holds what could be understood and is fit for nothing but display.
struct CheckedMoves {
  MoveList list;
  std::vector<Error> faults;  // each with line and column
};

// Reads a whole text and goes on after a fault, at most one a line. Besides the grammar it checks
// that every part that is done exists, that no part does itself, and that the list unrolls to at
// most kMostMoves moves. Time linear in the text.
[[nodiscard]] CheckedMoves check_moves(std::string_view text, std::string_view file_name);

// The same for callers that need a good list or the first fault. `flatten` of the list cannot fail.
[[nodiscard]] Result<MoveList> parse_moves(std::string_view text, std::string_view file_name);

// The list as text in one form: two blanks a depth of block, lengths in mm, angles in deg, times in
// s, numbers to 15 digits. Keeps comments, empty lines and the order of everything.
[[nodiscard]] std::string format_moves(const MoveList& list);

// One move as `format_moves` writes it: "bend right 45 deg radius 150 mm".
[[nodiscard]] std::string move_text(const SingleMove& move);

// All moves in the order they are driven, levels among them. Errors: a part that is not there or
// does itself, blocks or parts nested deeper than kDeepestBlocks, more than kMostMoves moves; the
// place is the line and column of the statement, without file.
[[nodiscard]] Result<std::vector<FlatMove>> flatten(const MoveList& list);

// Whether two lists say the same, comments and empty lines included, places aside.
[[nodiscard]] bool same_but_for_places(const MoveList& a, const MoveList& b);

// For a terminal: the line of the text that `place` names and, below it, a caret at its column;
// both end in a line break. Long lines are cut around the place. "" if the text has no such line.
[[nodiscard]] std::string source_and_caret(std::string_view text, const Place& place);

}  // namespace runtrue
