#include "truing/run.h"

#include <gtest/gtest.h>

#include <functional>
#include <string>

namespace runtrue {
namespace {

using Drive = Run;  // within a test, `Run` is the test's own member

Drive good_straight() {
  Drive run;
  run.level = Level{128};
  run.half = LineReading{Length::from_mm(700), Length::from_mm(8)};
  run.end = LineReading{Length::from_mm(1400), Length::from_mm(34)};
  return run;
}

Drive good_turn() {
  Drive run;
  run.kind = RunKind::kTurn;
  run.level = Level{128};
  run.time = Duration::from_s(3);
  run.turned = Angle::from_deg(350);
  return run;
}

std::string complaint(const std::function<void(Drive&)>& change, Drive run = good_straight()) {
  change(run);
  const auto checked = check_run(run, default_robot("Knot", Length::from_mm(140)));
  return checked ? "" : checked.error().message;
}

TEST(CheckRun, GoodRuns_Pass) {
  EXPECT_EQ(complaint([](Drive&) {}), "");
  EXPECT_EQ(complaint([](Drive&) {}, good_turn()), "");
  EXPECT_EQ(complaint([](Drive& r) { r.half.reset(); }), "");
  EXPECT_EQ(complaint([](Drive& r) { r.level = Level{-128}; }), "");
}

// Each complaint names the column as in RUNS.csv and says what was expected.
struct Wrong {
  const char* what;
  std::function<void(Drive&)> change;
  const char* column;
  bool turn = false;
};

TEST(CheckRun, WhatCantBeUsed_IsNamedByItsColumn) {
  const Wrong cases[] = {
      {"no reading at all",
       [](Drive& r) {
         r.half.reset();
         r.end.reset();
       },
       "sideways_mm"},
      {"line behind the mark", [](Drive& r) { r.end->line = Length::from_mm(-5); }, "line_mm"},
      {"half line past the end", [](Drive& r) { r.half->line = Length::from_mm(1500); },
       "half_line_mm"},
      {"level 0", [](Drive& r) { r.level = Level{0}; }, "level"},
      {"level beyond full", [](Drive& r) { r.level = Level{256}; }, "level"},
      {"trim beyond the range", [](Drive& r) { r.trim = Trim{31}; }, "trim"},
      {"no time for a turn", [](Drive& r) { r.time.reset(); }, "seconds", true},
      {"no angle for a turn", [](Drive& r) { r.turned.reset(); }, "turned_deg", true},
      {"negative time", [](Drive& r) { r.time = Duration::from_s(-1); }, "seconds", true},
      {"no voltage", [](Drive& r) { r.battery_v = 0.0; }, "battery_v"},
      {"beside the robot", [](Drive& r) { r.end->sideways = Length::from_mm(2200); },
       "sideways_mm"},
  };
  for (const Wrong& wrong : cases) {
    const std::string message = complaint(wrong.change, wrong.turn ? good_turn() : good_straight());
    EXPECT_NE(message.find(wrong.column), std::string::npos) << wrong.what << ": " << message;
    EXPECT_NE(message.find("expected"), std::string::npos) << wrong.what << ": " << message;
  }
}

}  // namespace
}  // namespace runtrue
