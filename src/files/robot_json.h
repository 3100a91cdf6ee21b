// ROBOT.json: a robot's description as a file (docs/formats/files.md).
#pragma once

#include <string>
#include <string_view>

#include "drive/robot.h"
#include "files/json_number.h"
#include "files/placed_json.h"
#include "units/result.h"

namespace runtrue {

// The checked robot of a ROBOT.json text; what the text leaves out is as in `default_robot`.
// `file_name` is for messages. Errors (bad input, with line and column): everything `parse_json`
// refuses, a key that is missing, unknown or of the wrong type, and what `check_robot` finds.
[[nodiscard]] Result<Robot> read_robot(std::string_view text, std::string_view file_name);

// The same from a value within a larger document.
[[nodiscard]] Result<Robot> robot_from(const PlacedJson& value);

// Every key is written, also those at their default: read(write(robot)) equals the robot bit by
// bit.
[[nodiscard]] Json robot_document(const Robot& robot);
[[nodiscard]] std::string write_robot(const Robot& robot);

}  // namespace runtrue
