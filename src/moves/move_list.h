// A move list as a person wrote it: parts, repeats and moves with their places in the text.
//
// `parse_moves` reads the language of docs/moves.md; `format_moves` writes it back in one fixed
// form; parse(format(list)) equals the list but for places. `flatten` unrolls repeats and parts
// into single moves.
#pragma once

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
};
struct TurnExtent {
  std::optional<Angle> angle;  // > 0, the side says which way
  std::optional<Duration> time;
};

struct DriveMove {
  Extent extent;
};
struct ReverseMove {
  Extent extent;
};
struct TurnMove {
  Side side = Side::kLeft;
  TurnExtent extent;
};
struct BendMove {
  Side side = Side::kLeft;
  Angle angle;
  Length radius;
};
struct PauseMove {
  Duration time;
};
struct AtLevel {
  Level level;
};  // from here on
using SingleMove = std::variant<DriveMove, ReverseMove, TurnMove, BendMove, PauseMove, AtLevel>;

struct Statement;
struct Repeat {
  int times = 0;
  std::vector<Statement> body;
};
struct DoPart {
  std::string part;
};
struct Statement {
  std::variant<SingleMove, Repeat, DoPart> what;
  int line = 0;         // of the text, from 1
  std::string comment;  // behind `#` on the same line, without it
};

struct Part {
  std::string name;
  std::vector<Statement> body;
  int line = 0;
};

struct MoveList {
  std::vector<Part> parts;
  std::vector<Statement> body;
};

// One move after unrolling, with the line it came from.
struct FlatMove {
  SingleMove move;
  int line = 0;
  [[nodiscard]] std::string text() const;  // "drive 300 mm"
};

// Longest list that is unrolled; more is refused as a list that never ends or is not meant.
inline constexpr int kMostMoves = 10000;

}  // namespace runtrue
