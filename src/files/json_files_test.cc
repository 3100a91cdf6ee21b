// ROBOT.json, TABLE.json and runs as JSON: what is read, and what is told of what can't be.
#include <gtest/gtest.h>

#include <string>

#include "files/placed_json.h"
#include "files/robot_json.h"
#include "files/run_json.h"
#include "files/table_json.h"

namespace runtrue {
namespace {

constexpr const char* kShortest =
    R"({"name": "Dunlin", "track_width_mm": 140, "trim_range": [-30, 30]})";

TEST(RobotJson, NameTrackWidthAndTrimRange_AreEnough) {
  const auto robot = read_robot(kShortest, "dunlin.json");
  ASSERT_TRUE(robot) << robot.error().one_line();
  EXPECT_EQ(robot->level_usual.value, 128);
  EXPECT_EQ(robot->wheels.front().y.mm(), 70.0);
  EXPECT_EQ(robot->press.step.mm(), 100.0);
}

TEST(RobotJson, WrittenAndRead_IsTheSameText) {
  auto robot = *read_robot(kShortest, "dunlin.json");
  robot.name = "Größe \"十\"";
  robot.press.turn = Angle::from_deg(30.1);
  robot.outline.polygon = {{Length::from_mm(-70.5), Length::from_mm(60)},
                           {Length::from_mm(80), Length()},
                           {Length::from_mm(-70.5), Length::from_mm(-60)}};
  const std::string text = write_robot(robot);
  const auto again = read_robot(text, "again.json");
  ASSERT_TRUE(again) << again.error().one_line();
  EXPECT_EQ(write_robot(*again), text);
  EXPECT_EQ(again->press.turn, robot.press.turn);
}

TEST(RobotJson, WhatIsWrong_IsToldInOneLine) {
  const std::pair<std::string, std::string> cases[] = {
      {"", "r.json:1:1: nothing is written here, expected a JSON document"},
      {"[]", "r.json:1:1: a list stands here, expected a robot's description in {}"},
      {"{\"name\": \"Knot\",}", "r.json:1:17: '}' stands here, expected a key in quotes"},
      {"{\"name\": \"Knot\"", "r.json:1:16: the text ends here, expected ',' or '}'"},
      {R"({"name": "Knot", "trim_range": [-30, 30]})",
       "r.json:1:1: 'track_width_mm' is missing, expected it here"},
      {R"({"name": "Knot", "track_width": 140, "trim_range": [-30, 30]})",
       "r.json:1:18: 'track_width' is not known here, expected one of the keys of the format, did "
       "you mean 'track_width_mm'?"},
      {R"({"name": "Knot", "track_width_mm": "wide", "trim_range": [-30, 30]})",
       "r.json:1:36: track_width_mm is a text, expected a number"},
      {"{\"name\": \"Knot\",\n \"track_width_mm\": 0, \"trim_range\": [-30, 30]}",
       "r.json:2:20: track_width_mm is 0, expected 20 to 1000 millimetres"},
      {R"({"name": "Knot", "track_width_mm": -140, "trim_range": [-30, 30]})",
       "r.json:1:36: track_width_mm is -140, expected 20 to 1000 millimetres"},
      {R"({"name": "Knot", "track_width_mm": 14, "trim_range": [-30, 30]})",
       "r.json:1:36: track_width_mm is 14, expected 20 to 1000 millimetres (typed in "
       "centimetres?)"},
      {R"({"name": "Knot", "track_width_mm": 140, "trim_range": [30, -30]})",
       "r.json:1:55: trim_range is [30, -30], expected the lower end first"},
      {R"({"name": "Knot", "track_width_mm": 140, "trim_range": 30})",
       "r.json:1:55: trim_range is a number, expected a list"},
      {R"({"name": "Knot", "name": "Ruff"})",
       "r.json:1:18: 'name' is there twice, expected it once"},
      {R"({"name": "Knot", "track_width_mm": NaN, "trim_range": [-30, 30]})",
       "r.json:1:36: 'N' stands here, expected a value"},
      {R"({"name": "Knot", "track_width_mm": 1e999, "trim_range": [-30, 30]})",
       "r.json:1:36: a number is too large, expected one up to 1e308"},
      {R"({"name": "Knot", "track_width_mm": 140,5, "trim_range": [-30, 30]})",
       "r.json:1:40: '5' stands here, expected a key in quotes"},
      {R"({"name": "Knot", "track_width_mm": 140, "trim_range": [-30, 30], "press": {"step": 1}})",
       "r.json:1:76: 'step' is not known here, expected one of the keys of the format, did you "
       "mean 'step_mm'?"},
      {"{\"name\": \"\xff\"}", "r.json:1:11: holds bytes that are not UTF-8, expected a text file"},
  };
  for (const auto& [text, expected] : cases) {
    const auto robot = read_robot(text, "r.json");
    ASSERT_FALSE(robot) << text;
    EXPECT_EQ(robot.error().one_line(), expected) << text;
  }
}

TEST(TableJson, WrittenAndRead_IsTheSameText) {
  const auto table = read_table(
      R"({"name": "trestle", "edge_mm": [[0,0],[1520,0],[1520,760],[0,760]], "walled": false,
          "obstacles": [{"name": "mug", "centre_mm": [900, 500], "radius_mm": 45},
                        {"name": "box", "polygon_mm": [[100,600],[200,600],[200,700],[100,700]]}]})",
      "trestle.json");
  ASSERT_TRUE(table) << table.error().one_line();
  EXPECT_EQ(table->obstacles.size(), 2U);
  const std::string text = write_table(*table);
  EXPECT_EQ(write_table(*read_table(text, "again.json")), text);
}

TEST(TableJson, OddSidesTopsAndHoles_AreWrittenAndRead) {
  const auto table = read_table(
      R"({"name": "two", "edge_mm": [[0,0],[600,0],[600,400],[0,400]], "odd_sides": [0, 2],
          "more_edges_mm": [[[600,0],[900,0],[900,300]]],
          "holes": [{"name": "cable", "polygon_mm": [[100,100],[200,100],[150,200]], "walled": true}]})",
      "two.json");
  ASSERT_TRUE(table) << table.error().one_line();
  EXPECT_EQ(table->odd_sides, (std::vector<int>{0, 2}));
  EXPECT_EQ(table->more_edges.at(0).size(), 3U);
  EXPECT_TRUE(table->holes.at(0).walled);
  const std::string text = write_table(*table);
  EXPECT_EQ(write_table(*read_table(text, "again.json")), text);
}

TEST(TableJson, WhatIsWrong_IsToldInOneLineWithItsPlace) {
  const std::pair<std::string, std::string> cases[] = {
      {R"({"name": "t"})", "t.json:1:1: 'edge_mm' is missing, expected it here"},
      {R"({"name": "t", "edge_mm": [[0,0],[1000,1000],[1000,0],[0,1000]]})", "t.json:1:"},
      {R"({"name": "t", "edge_mm": [[0,0],[1]]})",
       "t.json:1:33: edge_mm holds no point here, expected [x, y] in mm"},
      {R"({"name": "t", "edge_mm": [[0,0],[900,0],[900,900]], "obstacles": [{"name": "mug"}]})",
       "t.json:1:67: this obstacle is neither circle nor polygon, expected centre_mm with "
       "radius_mm, or polygon_mm"},
  };
  for (const auto& [text, expected] : cases) {
    const auto table = read_table(text, "t.json");
    ASSERT_FALSE(table) << text;
    const std::string told = table.error().one_line();
    EXPECT_EQ(told.substr(0, expected.size()), expected) << text;
    EXPECT_NE(told.find("expected"), std::string::npos) << told;
  }
}

TEST(RunJson, ReadsWhatItWrites) {
  const std::string text =
      R"({"kind":"straight","level":128,"trim":-4,"half_line_mm":700,"half_sideways_mm":8.5,)"
      R"("line_mm":1400,"sideways_mm":-34,"battery_v":4.85,"surface":"oak","left_out":true,"note":"x"})";
  const auto value = parse_json(text);
  ASSERT_TRUE(value);
  ObjectReader object(*value);
  const auto run = run_from(object);
  ASSERT_TRUE(object.finish());
  EXPECT_EQ(run_document(run).dump(), text);
}

TEST(RunJson, HalfAReading_IsToldWithItsPlace) {
  const auto value = parse_json(R"({"kind":"straight","level":128,"trim":0,"line_mm":1400})");
  ObjectReader object(*value);
  (void)run_from(object);
  const auto told = object.finish();
  ASSERT_FALSE(told);
  EXPECT_EQ(told.error().message,
            "line_mm is filled without sideways_mm, expected both or neither");
  EXPECT_EQ(told.error().place.column, 51);
}

// RFC 8259, section 13, example; numbers and escapes of sections 6 and 7.
TEST(PlacedJson, TheStandardsOwnExample_IsReadWithPlaces) {
  const auto value = parse_json(
      "{\n \"Image\": {\n  \"Width\":  800,\n  \"Title\":  \"View from 15th Floor\",\n"
      "  \"Animated\" : false,\n  \"IDs\": [116, 943, 234, 38793]\n }\n}");
  ASSERT_TRUE(value) << value.error().one_line();
  const PlacedJson* image = value->find("Image");
  ASSERT_NE(image, nullptr);
  EXPECT_EQ(image->find("Width")->number, 800.0);
  EXPECT_EQ(image->find("Width")->line, 3);
  EXPECT_EQ(image->find("Width")->column, 13);
  EXPECT_EQ(image->find("IDs")->items.at(3).number, 38793.0);
}

TEST(PlacedJson, SyntaxTheStandardForbids_IsRefused) {
  for (const char* text :
       {"01",      "1.",          ".5",          "+1",    "-",           "1e",    "'a'",
        "\"\\x\"", "\"a\nb\"",    "[1,]",        "[1 2]", "{\"a\"}",     "{a:1}", "tru",
        "nul",     "\"\\ud834\"", "\"\\u12g4\"", "1 2",   "\"\\u0000\"", "[",     "{\"a\":"}) {
    EXPECT_FALSE(parse_json(text)) << text;
  }
  EXPECT_EQ(parse_json("\"\\ud834\\udd1e\"")->text, "\xF0\x9D\x84\x9E");  // RFC 8259, section 7
  EXPECT_EQ(parse_json("-0.5E-1")->number, -0.05);
}

TEST(PlacedJson, NestedTooDeep_IsRefusedNotFatal) {
  EXPECT_FALSE(parse_json(std::string(100000, '[')));
  EXPECT_TRUE(parse_json(std::string(60, '[') + std::string(60, ']')));
}

}  // namespace
}  // namespace runtrue
