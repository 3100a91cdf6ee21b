// What a robot is by its description: the numbers a lead can read off a ruler or the maker's sheet,
// before any run.
//
// Read from ROBOT.json by src/files; kept by src/record. Every number has a default except name,
// track width and trim range. `check_robot` says what is wrong with one, in words for a person;
// everything below it may rely on a checked robot.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "drive/pose.h"
#include "units/quantity.h"
#include "units/result.h"

namespace runtrue {

// The outline that bumps into things: a circle about the robot's origin, or a simple polygon in the
// robot's frame.
struct Outline {
  Length circle_radius = Length::from_mm(95);
  std::vector<Point> polygon;  // empty: the circle holds; else at least 3 corners
};

// What one press of a key on the robot does.
struct PressSize {
  Length step = Length::from_mm(100);
  Angle turn = Angle::from_deg(90);
};

struct TrimRange {
  Trim lowest{-30};
  Trim highest{30};
};

struct Robot {
  std::string name;
  Length track_width;  // between the wheels' contacts
  Length wheel_diameter = Length::from_mm(65);
  Level level_full{255};
  Level level_usual{128};
  TrimRange trim_range;
  int move_list_limit = 20;
  Outline outline;
  std::vector<Point> wheels;  // contacts, in the robot's frame; default (0, ±track_width/2)
  std::vector<Point>
      castors;  // contacts, in the robot's frame; default one in front and one behind at ±60 mm
  Duration hold_timeout_step = Duration::from_s(0.25);
  PressSize press;
};

// A robot of that name and track width with every default filled in.
[[nodiscard]] Robot default_robot(std::string name, Length track_width);

// Ranges (arbitrary, but wide of anything that sits on a desk): track width 20..1000 mm (below 20:
// "typed in centimetres?"), wheel diameter 5..500 mm, levels 1..65535 with usual <= full, trim
// range lowest < highest within ±1000, limit 1..1000, contacts and outline within 1 m of the
// origin. Error: bad input naming the field as in ROBOT.json, what it is and what was expected.
[[nodiscard]] Result<void> check_robot(const Robot& robot);

}  // namespace runtrue
