// The C header that the robot's own program is built with: trim and constants by name and unit.
#pragma once

#include <string>

#include "drive/robot.h"
#include "truing/truing.h"
#include "units/result.h"

namespace runtrue {

// What the header says about where it comes from. This library reads no clock.
struct HeaderSource {
  int run_count = 0;  // runs the settings come from
  std::string date;   // as it shall stand in the comment: "2026-11-25"
};

// Valid C99 and C++14; values are `static const`, so the 8-bit compiler keeps only those in use.
[[nodiscard]] std::string settings_header(const Robot& robot, const Truing& truing,
                                          const HeaderSource& source);

}  // namespace runtrue
