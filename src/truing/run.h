// One measured drive, as a lead notes it with a tape.
//
// Read from RUNS.csv by src/files, kept by src/record, used by src/truing. `check_run` says in
// words for a person what keeps a run from being used at all; doubt about a run that can be used is
// truing's business.
#pragma once

#include <optional>
#include <string>

#include "drive/robot.h"
#include "units/quantity.h"
#include "units/result.h"

namespace runtrue {

enum class RunKind { kStraight, kTurn };

// A reading at a tape line: forward distance of the line from the start mark, sideways offset
// there, left positive.
struct LineReading {
  Length line;
  Length sideways;
};

struct Run {
  RunKind kind = RunKind::kStraight;
  Level level;  // signed: negative is reverse
  Trim trim;
  std::optional<Duration> time;     // how long the motors were on
  std::optional<LineReading> half;  // straight: the line half-way
  std::optional<LineReading> end;   // straight: the last line, or where it left the strip
  std::optional<Length> distance;   // straight: way driven in `time`
  std::optional<Angle> turned;      // turn: left positive, may be several rounds
  std::optional<double> battery_v;
  std::string surface;    // free word that groups floors; "" is one of them
  bool left_out = false;  // kept, but not used
  std::string note;
  int row = 0;  // line in the file, or number in the record; for messages
};

// Errors (bad input, naming the column as in RUNS.csv): a straight with neither a line nor a timed
// distance; a turn without time or turned angle; a reading without its line or the other way round;
// a line not in front of the mark
// (<= 0) or a half line not before the end line; level 0 or beyond the full level; trim outside the
// robot's range; a time, battery or distance <= 0; a sideways reading over one and a half
// times as large as its line is far.
[[nodiscard]] Result<void> check_run(const Run& run, const Robot& robot);

}  // namespace runtrue
