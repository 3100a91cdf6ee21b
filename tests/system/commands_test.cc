// What each command answers: the keys that other scripts rely on, the exit status, the words.
#include <set>

#include "tests/system/program.h"

namespace runtrue {
namespace {

using nlohmann::json;

void expect_keys(const json& object, const std::vector<std::string>& keys) {
  for (const std::string& key : keys) EXPECT_TRUE(object.contains(key)) << key << " in " << object;
}

class Advise : public Bench {};
class Settings : public Bench {};
class Forecasts : public Bench {
 protected:
  [[nodiscard]] Outcome forecast(const std::string& start,
                                 std::vector<std::string> more = {}) const {
    std::vector<std::string> words{"forecast",   "robot.json", "runs.csv", "list.moves",
                                   "table.json", "--start",    start};
    words.insert(words.end(), more.begin(), more.end());
    return run(words);
  }
};
class Presses : public Bench {};
class MovesFile : public Bench {};

TEST_F(Advise, TrueRobot_AnswersEveryKeyAndExitsZero) {
  const Outcome outcome = run({"advise", "robot.json", "runs.csv", "--json"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_EQ(outcome.err, "");
  const json answer = document_of(outcome);
  expect_keys(answer, {"best_trim", "drift_mm_per_m", "in_tolerance_probability", "verdict",
                       "reason", "next_run", "doubtful_runs", "assumed"});
  expect_keys(answer["drift_mm_per_m"], {"mean", "low", "high"});
  EXPECT_EQ(answer["verdict"], "in-tolerance");
  EXPECT_GE(answer["in_tolerance_probability"], 0.95);
  EXPECT_EQ(answer["doubtful_runs"], json::array());
}

TEST_F(Advise, UntruedRobot_ExitsOneAndNamesARunOverTwoLines) {
  const Outcome outcome = run({"advise", "--json", "robot.json", "one.csv"});
  EXPECT_EQ(outcome.status, 1);
  const json answer = document_of(outcome);
  EXPECT_EQ(answer["verdict"], "more-runs");
  expect_keys(answer["next_run"], {"kind", "level", "trim", "half_line_mm", "line_mm"});
  EXPECT_EQ(answer["next_run"]["kind"], "straight");
}

TEST_F(Advise, NoRunsAtAll_AdvisesTheFirst) {
  write("none.csv", "kind,level,trim,line_mm,sideways_mm\n");
  const Outcome outcome = run({"advise", "robot.json", "none.csv", "--json"});
  EXPECT_EQ(outcome.status, 1);
  EXPECT_TRUE(document_of(outcome)["next_run"].is_object());
}

TEST_F(Advise, WiderTolerance_IsReachedWithMoreCertainty) {
  const auto sure = [this](const std::string& tolerance) {
    return document_of(run({"advise", "robot.json", "runs.csv", "--tolerance-mm-per-m", tolerance,
                            "--json"}))["in_tolerance_probability"]
        .get<double>();
  };
  EXPECT_LT(sure("3"), sure("10"));
  EXPECT_LT(sure("10"), sure("20") + 1e-9);
}

TEST_F(Advise, ShorterFloor_AdvisesShorterLines) {
  const json next = document_of(
      run({"advise", "robot.json", "one.csv", "--longest-line", "0.8 m", "--json"}))["next_run"];
  EXPECT_LE(next["line_mm"], 800);
}

TEST_F(Advise, Words_BeginWithWhatIsSo) {
  const Outcome outcome = run({"advise", "robot.json", "one.csv"});
  EXPECT_EQ(outcome.status, 1);
  EXPECT_TRUE(outcome.out.starts_with("Dunlin bent ")) << outcome.out;
  EXPECT_NE(outcome.out.find("best trim so far"), std::string::npos);
  EXPECT_NE(outcome.out.find("unplug the cable"), std::string::npos);
}

TEST_F(Advise, ContradictingRuns_AreNamedAndNotRefused) {
  write("slip.csv", std::string(kRuns) + "straight,128,-5,,700,2,1400,160,,,,,,\n");
  const Outcome outcome = run({"advise", "robot.json", "slip.csv", "--json"});
  EXPECT_LT(outcome.status, 2) << outcome.err;
  EXPECT_EQ(document_of(outcome)["doubtful_runs"], json::array({11}));
  EXPECT_NE(run({"advise", "robot.json", "slip.csv"}).out.find("line 11"), std::string::npos);
}

TEST_F(Advise, StandardInput_TakesEitherFile) {
  const std::string from_file = run({"advise", "robot.json", "runs.csv", "--json"}).out;
  EXPECT_EQ(run({"advise", "-", "runs.csv", "--json"}, kRobot).out, from_file);
  EXPECT_EQ(run({"advise", "robot.json", "-", "--json"}, kRuns).out, from_file);
}

TEST_F(Settings, Json_HasEveryConstantWithUnitAndInterval) {
  const Outcome outcome = run({"settings", "robot.json", "runs.csv", "--json"});
  EXPECT_EQ(outcome.status, 0);
  const json answer = document_of(outcome);
  expect_keys(answer, {"trim", "assumed", "header"});
  int constants = 0;
  for (const auto& [key, value] : answer.items()) {
    if (!value.is_object() || !value.contains("mean")) continue;
    ++constants;
    expect_keys(value, {"unit", "mean", "low", "high"});
    EXPECT_LE(value["low"], value["mean"]) << key;
    EXPECT_LE(value["mean"], value["high"]) << key;
  }
  EXPECT_EQ(constants, 10);
}

TEST_F(Settings, Header_IsTheFileAndTheJsonKeyAndWhatADashPrints) {
  const Outcome outcome =
      run({"settings", "robot.json", "runs.csv", "--header", "dunlin.h", "--json"});
  const std::string header = read("dunlin.h");
  EXPECT_NE(header.find("#ifndef"), std::string::npos) << header;
  EXPECT_EQ(document_of(outcome)["header"], header);
  EXPECT_EQ(run({"settings", "robot.json", "runs.csv", "--header", "-"}).out, header);
}

TEST_F(Settings, Words_SayWhatToMindWhileLoading) {
  const Outcome outcome = run({"settings", "robot.json", "runs.csv"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_TRUE(outcome.out.starts_with("Load Dunlin with trim ")) << outcome.out;
  EXPECT_NE(outcome.out.find("keep the wheels clear of the bench"), std::string::npos);
  EXPECT_NE(outcome.out.find("Unplug"), std::string::npos);
}

TEST_F(Forecasts, Json_HasEveryKey) {
  const Outcome outcome = forecast("400,300,0", {"--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json answer = document_of(outcome);
  expect_keys(answer, {"fall_probability", "bump_probability", "end_pose", "first_risky_move",
                       "moves", "trim", "safest_start", "assumed"});
  expect_keys(answer["fall_probability"], {"mean", "low", "high"});
  expect_keys(answer["end_pose"], {"x_mm", "y_mm", "heading_deg", "covariance"});
  EXPECT_EQ(answer["end_pose"]["covariance"].size(), 3U);
  EXPECT_EQ(answer["end_pose"]["covariance"][0].size(), 3U);
  ASSERT_EQ(answer["moves"].size(), 3U);
  expect_keys(answer["moves"][0], {"text", "left_level", "right_level", "milliseconds"});
  EXPECT_EQ(answer["moves"][2]["text"], "drive 200 mm");
  EXPECT_GT(answer["fall_probability"]["high"], 0.0) << "never said to be none";
}

TEST_F(Forecasts, OverTheEdge_ExitsOneAndNamesTheMove) {
  const Outcome outcome = forecast("1350,300,0", {"--json"});
  EXPECT_EQ(outcome.status, 1);
  const json answer = document_of(outcome);
  EXPECT_GT(answer["fall_probability"]["mean"], 0.9);
  EXPECT_EQ(answer["first_risky_move"]["move"], 1);
  const Outcome words = forecast("1350,300,0");
  EXPECT_EQ(words.status, 1);
  EXPECT_TRUE(words.out.starts_with("Dunlin falls ")) << words.out;
}

TEST_F(Forecasts, SameSeed_GivesTheSameBytes) {
  const std::string once = forecast("700,300,45", {"--json", "--seed", "7"}).out;
  EXPECT_EQ(forecast("700,300,45", {"--json", "--seed", "7"}).out, once);
  EXPECT_NE(forecast("700,300,45", {"--json", "--seed", "8"}).out, once);
}

TEST_F(Forecasts, StartBelowZero_IsReadAsAPlace) {
  write("table.json",
        R"({"name": "t", "edge_mm": [[-900, -900], [900, -900], [900, 900], [-900, 900]]})");
  const json answer = document_of(forecast("-300,-250.5,-90", {"--json"}));
  ASSERT_TRUE(answer.is_object());
  EXPECT_NEAR(answer["end_pose"]["y_mm"], -550.5, 60.0);  // 300 mm on, give or take its bend
}

TEST_F(Forecasts, Words_EndWithAHandAtTheEdge) {
  const Outcome outcome = forecast("400,300,0");
  EXPECT_EQ(outcome.status, 0);
  EXPECT_TRUE(outcome.out.starts_with("Dunlin stays on the table")) << outcome.out;
  EXPECT_TRUE(outcome.out.ends_with(
      "Keep a hand at the edge on a first run. Nothing here is a safety device.\n"))
      << outcome.out;
}

TEST_F(Forecasts, Pictures_AreOfTheKindTheirNameSays) {
  const std::vector<std::pair<std::string, std::string>> kinds{
      {"f.svg", "<?xml"}, {"f.pdf", "%PDF-"}, {"f.PNG", "\x89PNG"}};
  for (const auto& [name, begins] : kinds) {
    EXPECT_EQ(forecast("400,300,0", {"--picture", name}).status, 0);
    EXPECT_TRUE(read(name).starts_with(begins)) << name;
  }
  EXPECT_EQ(run({"advise", "robot.json", "runs.csv", "--picture", "a.svg"}).status, 0);
  EXPECT_TRUE(read("a.svg").starts_with("<?xml"));
}

TEST_F(Presses, Json_HasTheShortestListAndWhetherItFits) {
  write("keys.moves", "drive 20 cm\nturn right 90 deg\nreverse 100 mm\n");
  const Outcome outcome = run({"press-list", "keys.moves", "robot.json", "--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json answer = document_of(outcome);
  EXPECT_EQ(answer["presses"], json({"forward", "forward", "right", "back"}));
  EXPECT_EQ(answer["count"], 4);
  EXPECT_EQ(answer["limit"], 12);
  EXPECT_EQ(answer["fits"], true);
}

TEST_F(Presses, MoreThanTheRobotKeeps_ExitsOne) {
  write("long.moves", "13 times\n  drive 100 mm\nend\n");
  const Outcome outcome = run({"press-list", "long.moves", "robot.json", "--json"});
  EXPECT_EQ(outcome.status, 1);
  EXPECT_EQ(document_of(outcome)["fits"], false);
  EXPECT_EQ(document_of(outcome)["count"], 13);
}

TEST_F(Presses, Nearest_TellsHowFarOffAndWhatToChange) {
  write("near.moves", "drive 250 mm\nturn left 90 deg\ndrive 10 cm\n");
  const Outcome outcome = run({"press-list", "near.moves", "robot.json", "--nearest", "--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json answer = document_of(outcome);
  EXPECT_EQ(answer["fits"], true);
  expect_keys(answer["nearest"],
              {"farthest_off_mm", "end_off_mm", "end_heading_off_deg", "changes"});
  // Two or three steps for 250 mm: half a step off.
  EXPECT_NEAR(answer["nearest"]["farthest_off_mm"], 50, 0.2);
  EXPECT_NEAR(answer["nearest"]["end_off_mm"], 50, 1e-6);
  EXPECT_EQ(answer["nearest"]["end_heading_off_deg"], 0);
  const Outcome words = run({"press-list", "near.moves", "robot.json", "--nearest"});
  EXPECT_NE(words.out.find("+ forward"), std::string::npos) << words.out;
}

TEST_F(Presses, BackToMoves_AreTheSamePresses) {
  write("keyed.txt", "forward, forward right\nback # home\n");
  const Outcome outcome = run({"moves", "from-presses", "keyed.txt", "robot.json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  write("keyed.moves", outcome.out);
  EXPECT_EQ(document_of(run({"press-list", "keyed.moves", "robot.json", "--json"}))["presses"],
            json({"forward", "forward", "right", "back"}));
  write("keyed.txt",
        "forward forward forward forward forward forward forward forward forward "
        "forward forward forward forward");
  EXPECT_EQ(run({"moves", "from-presses", "keyed.txt", "robot.json"}).status, 1);
}

TEST_F(MovesFile, FromAPath_IsDrivenNearItAndDrawn) {
  write("wish.csv", "x_mm,y_mm\n0,0\n150,4\n300,0\n300,200\n");
  const Outcome outcome = run(
      {"moves", "from-path", "wish.csv", "--most-moves", "3", "--picture", "wish.svg", "--json"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const json answer = document_of(outcome);
  expect_keys(answer, {"text", "count", "start", "farthest_at_mm", "corners_mm"});
  EXPECT_EQ(answer["count"], 3);
  EXPECT_NEAR(answer["farthest_off_mm"], 4, 1e-6);
  EXPECT_NE(read("wish.svg").find("4.0 mm off"), std::string::npos);
  const Outcome drawn = run({"moves", "from-path", "-", "--long-side", "60 cm"},
                            "<svg viewBox='0 0 9 9'><path d='M0 0H3V-1'/></svg>");
  EXPECT_EQ(drawn.status, 0) << drawn.err;
  EXPECT_NE(drawn.out.find("drive 600 mm\nturn left 90 deg\ndrive 200 mm"), std::string::npos)
      << drawn.out;
  write("wish.moves", drawn.out);
  EXPECT_EQ(run({"moves", "check", "wish.moves"}).status, 0);
}

TEST_F(MovesFile, Check_TellsEveryFaultWithItsPlace) {
  write("bad.moves", "drive 300 mm\ndrvie 10 cm\nturn left\n");
  const Outcome outcome = run({"moves", "check", "bad.moves", "--json"});
  EXPECT_EQ(outcome.status, 1);
  const json answer = document_of(outcome);
  ASSERT_EQ(answer["faults"].size(), 2U);
  EXPECT_EQ(answer["faults"][0]["line"], 2);
  EXPECT_EQ(answer["faults"][1]["line"], 3);
  expect_keys(answer["faults"][0], {"line", "column", "message"});
  const Outcome good = run({"moves", "check", "list.moves", "--json"});
  EXPECT_EQ(good.status, 0);
  EXPECT_EQ(document_of(good)["moves"].size(), 3U);
}

TEST_F(MovesFile, Format_PrintsOrWritesTheSameTextAndIsThenAtRest) {
  const std::string formatted = run({"moves", "format", "list.moves"}).out;
  EXPECT_NE(formatted.find("drive 200 mm"), std::string::npos) << formatted;
  EXPECT_NE(formatted.find("# along the edge"), std::string::npos) << formatted;
  EXPECT_EQ(read("list.moves"), kMoves) << "printing writes nothing";
  EXPECT_EQ(run({"moves", "format", "list.moves", "--write"}).status, 0);
  EXPECT_EQ(read("list.moves"), formatted);
  const json again = document_of(run({"moves", "format", "list.moves", "--json"}));
  EXPECT_EQ(again["changed"], false);
  EXPECT_EQ(again["text"], formatted);
}

}  // namespace
}  // namespace runtrue
