// The files that commands read, and the day it is.
#pragma once

#include <string>
#include <vector>

#include "drive/robot.h"
#include "forecast/table.h"
#include "moves/move_list.h"
#include "moves/press_list.h"
#include "remote/capture.h"
#include "truing/run.h"
#include "units/result.h"

namespace runtrue {

// Reads files by their readers in src/files and src/moves; every error names the file. The text of
// a move list is kept, so that an error in it can be shown at its place.
class Inputs {
 public:
  [[nodiscard]] Result<Robot> robot(const std::string& path) const;
  [[nodiscard]] Result<std::vector<Run>> runs(const std::string& path, const Robot& robot) const;
  // Without a look at whether a robot can run them.
  [[nodiscard]] Result<std::vector<Run>> runs(const std::string& path) const;
  [[nodiscard]] Result<Table> table(const std::string& path) const;
  [[nodiscard]] Result<Capture> capture(const std::string& path) const;

  [[nodiscard]] Result<std::vector<Point>> path(const std::string& path,
                                                const std::string& id) const;
  [[nodiscard]] Result<std::vector<Press>> presses(const std::string& path) const;

  // A good list, unrolled; else its first fault.
  [[nodiscard]] Result<std::vector<FlatMove>> moves(const std::string& path);
  // The text of a move list, with faults or without.
  [[nodiscard]] Result<std::string> moves_text(const std::string& path);

  // The line that an error in a move list is about with a caret below it, or "" for any other
  // error.
  [[nodiscard]] std::string source_of(const Error& error) const;

 private:
  std::string moves_file_;
  std::string moves_text_;
};

// "2026-11-25" in local time; where SOURCE_DATE_EPOCH is set (seconds, UTC), the day of that time.
[[nodiscard]] std::string today();
// UTC, "2026-11-25T10:42:00Z"; by SOURCE_DATE_EPOCH where that is set.
[[nodiscard]] std::string now_utc();

}  // namespace runtrue
