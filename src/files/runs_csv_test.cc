#include "files/runs_csv.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <string>
#include <vector>

namespace runtrue {
namespace {

using Drives = std::vector<Run>;  // within a test, `Run` is the test's own member

Robot dunlin() { return default_robot("Dunlin", Length::from_mm(140)); }

std::string fault(const std::string& text) {
  const auto runs = read_runs(text, "runs.csv", dunlin());
  return runs ? "read" : runs.error().one_line();
}

TEST(RunsCsv, ColumnsInAnyOrderWithUnusedLeftOut_AreRead) {
  const auto runs = read_runs(
      "trim,kind,level,sideways_mm,line_mm,note\n3,straight,128,-34,1400,\"left, \"\"mug\"\"\"\n",
      "runs.csv");
  ASSERT_TRUE(runs) << runs.error().one_line();
  ASSERT_EQ(runs->size(), 1U);
  EXPECT_EQ(runs->front().trim.value, 3);
  EXPECT_EQ(runs->front().end->sideways.mm(), -34.0);
  EXPECT_FALSE(runs->front().half);
  EXPECT_EQ(runs->front().note, "left, \"mug\"");
  EXPECT_EQ(runs->front().row, 2);
}

TEST(RunsCsv, MarkOfByteOrderCarriageReturnsAndEmptyLines_ChangeNothing) {
  const auto runs = read_runs(
      "\xEF\xBB\xBFkind,level,trim,seconds,turned_deg\r\n\r\nturn,128,0,3,-350.5\r\n", "runs.csv");
  ASSERT_TRUE(runs) << runs.error().one_line();
  ASSERT_EQ(runs->size(), 1U);
  EXPECT_DOUBLE_EQ(runs->front().turned->deg(), -350.5);
  EXPECT_EQ(runs->front().row, 3);
}

TEST(RunsCsv, SemicolonsWithDecimalCommas_AreRead) {
  const auto runs =
      read_runs("kind;level;trim;line_mm;sideways_mm\nstraight;128;0;1400;33,5\n", "runs.csv");
  ASSERT_TRUE(runs) << runs.error().one_line();
  EXPECT_EQ(runs->front().end->sideways.mm(), 33.5);
}

TEST(RunsCsv, NamesInAnyScript_AreKept) {
  const auto runs = read_runs(
      "kind,level,trim,line_mm,sideways_mm,surface,note\nstraight,128,0,900,5,"
      "плитка,größer als sonst\n",
      "runs.csv");
  ASSERT_TRUE(runs) << runs.error().one_line();
  EXPECT_EQ(runs->front().surface, "плитка");
}

// Exactly one line, with file, line and column, what is so and what was expected.
TEST(RunsCsv, WhatIsWrong_IsToldInOneLine) {
  const std::string head = "kind,level,trim,line_mm,sideways_mm\n";
  const std::pair<std::string, std::string> cases[] = {
      {"", "runs.csv:1:1: nothing is written here, expected a first line with kind,level,trim"},
      {"\n\n", "runs.csv:1:1: nothing is written here, expected a first line with kind,level,trim"},
      {"kind,level,trim,sideway_mm\n",
       "runs.csv:1:17: 'sideway_mm' is no column of runs, expected a first line with "
       "kind,level,trim and columns such as line_mm,sideways_mm, did you mean 'sideways_mm'?"},
      {"kind,level,trim,trim\n", "runs.csv:1:17: column trim is there twice, expected it once"},
      {"kind,level\n", "runs.csv:1:1: column trim is missing, expected it in the first line"},
      {"straight,128,0,1400,3\n",
       "runs.csv:1:1: 'straight' is no column of runs, expected a first line with kind,level,trim "
       "and columns such as line_mm,sideways_mm"},
      {head + "straight,128,0,1400\n",
       "runs.csv:2:16: this row has 4 cells, expected 5 as in the first line"},
      {head + "straight,128,0,1400,33,5\n",
       "runs.csv:2:24: this row has 6 cells, expected 5 as in the first line; with decimal commas, "
       "part cells by semicolons"},
      {head + "curve,128,0,1400,3\n", "runs.csv:2:1: kind is 'curve', expected straight or turn"},
      {head + "straight,fast,0,1400,3\n", "runs.csv:2:10: level is 'fast', expected a number"},
      {head + "straight,128.5,0,1400,3\n",
       "runs.csv:2:10: level is '128.5', expected a whole number"},
      {head + "straight,128,,1400,3\n", "runs.csv:2:14: trim is empty, expected a whole number"},
      {head + "straight,128,0,1400,nan\n",
       "runs.csv:2:21: sideways_mm is 'nan', expected a number"},
      {head + "straight,128,0,inf,3\n", "runs.csv:2:16: line_mm is 'inf', expected a number"},
      {head + "straight,128,0,1400,3 mm\n",
       "runs.csv:2:21: sideways_mm is '3 mm', expected a number"},
      {head + "straight,128,0,1400,\n",
       "runs.csv:2:16: line_mm is filled without sideways_mm, expected both or neither"},
      {head + "straight,128,0,,\n",
       "runs.csv:2:1: this straight has no reading, expected line_mm with sideways_mm, or seconds "
       "with distance_mm"},
      {head + "straight,128,44,1400,3\n", "runs.csv:2:14: trim is 44, expected -30 to 30"},
      {head + "straight,128,0,-5,3\n", "runs.csv:2:16: line_mm is -5, expected"},
      {head + "straight,128,0,1400,\"3\n",
       "runs.csv:2:21: a quote is not closed, expected '\"' at the end of the cell"},
      {head + "straight,128,0,1400,\"3\"4\n",
       "runs.csv:2:24: there is text after a closing quote, expected a separator or a new line"},
      {head + "straight,128,0,1400,\xff\n",
       "runs.csv:2:21: holds bytes that are not UTF-8, expected a text file"},
      {"kind;level;trim;line_mm;sideways_mm\nstraight;128;0;1400;3,5\nstraight;128;0;1400;3.5\n",
       "runs.csv:3:21: sideways_mm is '3.5' with a decimal point, expected a comma as in the rows "
       "before"},
      {"kind,level,trim,line_mm,sideways_mm,left_out\nstraight,128,0,1400,3,maybe\n",
       "runs.csv:2:23: left_out is 'maybe', expected yes or no"},
  };
  for (const auto& [text, expected] : cases) {
    const std::string told = fault(text);
    EXPECT_EQ(told.substr(0, expected.size()), expected) << text;
    EXPECT_EQ(told.find('\n'), std::string::npos);
  }
}

TEST(RunsCsv, AMillionRows_AreRead) {
  std::string text = "kind,level,trim,line_mm,sideways_mm\n";
  for (int i = 0; i < 1'000'000; ++i) text += "straight,128,0,1400,3\n";
  const auto runs = read_runs(text, "runs.csv");
  ASSERT_TRUE(runs);
  EXPECT_EQ(runs->size(), 1'000'000U);
}

Drives any_runs() {
  const auto value = [](double scale) { return *rc::gen::inRange(-1000000, 1000000) * scale; };
  Drives runs;
  const int count = *rc::gen::inRange(0, 6);
  for (int i = 0; i < count; ++i) {
    Run run;
    run.kind = *rc::gen::element(RunKind::kStraight, RunKind::kTurn);
    run.level = Level{*rc::gen::inRange(-255, 256)};
    run.trim = Trim{*rc::gen::inRange(-30, 31)};
    if (*rc::gen::arbitrary<bool>()) run.time = Duration::from_s(value(1e-3));
    if (*rc::gen::arbitrary<bool>())
      run.half = LineReading{Length::from_mm(value(0.1)), Length::from_mm(value(1.0 / 3.0))};
    if (*rc::gen::arbitrary<bool>())
      run.end = LineReading{Length::from_mm(value(0.1)), Length::from_mm(value(0.7))};
    if (*rc::gen::arbitrary<bool>()) run.distance = Length::from_mm(value(0.01));
    if (*rc::gen::arbitrary<bool>()) run.turned = Angle::from_deg(value(0.1));
    if (*rc::gen::arbitrary<bool>()) run.battery_v = value(1e-5);
    run.left_out = *rc::gen::arbitrary<bool>();
    run.note = *rc::gen::element<std::string>("", "plain", "a, b; c", "two\nlines", "\"quoted\"",
                                              " blanks ", "größer");
    runs.push_back(run);
  }
  return runs;
}

bool same(const Run& a, const Run& b) {
  const auto line = [](const std::optional<LineReading>& x, const std::optional<LineReading>& y) {
    return x.has_value() == y.has_value() &&
           (!x || (x->line == y->line && x->sideways == y->sideways));
  };
  return a.kind == b.kind && a.level == b.level && a.trim == b.trim && a.time == b.time &&
         line(a.half, b.half) && line(a.end, b.end) && a.distance == b.distance &&
         a.turned == b.turned && a.battery_v == b.battery_v && a.surface == b.surface &&
         a.left_out == b.left_out && a.note == b.note;
}

RC_GTEST_PROP(RunsCsvRoundTrip, WrittenAndRead_IsTheSameBitByBit, ()) {
  const Drives runs = any_runs();
  const auto again = read_runs(write_runs(runs), "runs.csv");
  RC_ASSERT(again.has_value());
  RC_ASSERT(again->size() == runs.size());
  for (std::size_t i = 0; i < runs.size(); ++i) RC_ASSERT(same((*again)[i], runs[i]));
}

}  // namespace
}  // namespace runtrue
