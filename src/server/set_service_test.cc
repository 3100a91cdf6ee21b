// Every route of docs/api.md, good and bad, without a socket: what the handlers answer against what
// the domains say, and what they refuse. Addresses, methods and statuses as in RFC 9110.
#include "server/set_service.h"

#include <gtest/gtest.h>

#include <thread>
#include <vector>

#include "files/answers.h"
#include "files/robot_json.h"
#include "server/test_set.h"
#include "truing/words.h"

namespace runtrue {
namespace {

using testing::json;
using testing::robot_body;
using testing::run_body;
using testing::table_body;
using testing::TestSet;

const char* const kSquare = "4 times\n  drive 200 mm\n  turn right 90 deg\nend\n";

json forecast_body(RecordId robot, RecordId table) {
  return {{"robot_id", robot}, {"text", kSquare},
          {"table_id", table}, {"start", {{"x_mm", 700}, {"y_mm", 400}, {"heading_deg", 90}}},
          {"samples", 500},    {"seed", 7}};
}

class SetServiceTest : public ::testing::Test {
 protected:
  TestSet set_;
};

TEST_F(SetServiceTest, AnEmptySet_ListsNothingAndHasNothingToTakeBack) {
  const auto answer = set_.get("/api/set");
  ASSERT_EQ(answer.status, 200);
  EXPECT_EQ(answer.body["name"], "");
  EXPECT_EQ(answer.body["change"], 0);
  EXPECT_EQ(answer.body["robots"], json::array());
  EXPECT_EQ(answer.body["tables"], json::array());
  EXPECT_EQ(answer.body["move_lists"], json::array());
  EXPECT_TRUE(answer.body["undo"].is_null());
  EXPECT_TRUE(answer.body["redo"].is_null());
}

TEST_F(SetServiceTest, TheSetsName_IsKept) {
  EXPECT_EQ(set_.put("/api/set", {{"name", "library club"}}).status, 200);
  EXPECT_EQ(set_.get("/api/set").body["name"], "library club");
  EXPECT_EQ(set_.put("/api/set", json::object()).field(), "name");
}

// --- robots ---

TEST_F(SetServiceTest, ANewRobot_IsListedAsNewAndSaysWhatToDo) {
  const auto added = set_.post("/api/robots", robot_body());
  ASSERT_EQ(added.status, 200) << added.body;
  EXPECT_GT(added.body["change"], 0);
  const json line = set_.get("/api/set").body["robots"][0];
  EXPECT_EQ(line["id"], added.body["id"]);
  EXPECT_EQ(line["name"], "Dunlin");
  EXPECT_EQ(line["state"], "new");
  EXPECT_EQ(line["word"], "no runs yet");
  EXPECT_TRUE(line["trim"].is_null());
  EXPECT_TRUE(line["in_tolerance_probability"].is_null());
  EXPECT_EQ(line["run_count"], 0);
  EXPECT_TRUE(line["last_run_at"].is_null());
  EXPECT_FALSE(line["sentence"].get<std::string>().empty());
}

TEST_F(SetServiceTest, ARobotsPage_SaysWhatTheDomainsComputeFromItsRuns) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string runs = "/api/robots/" + std::to_string(id) + "/runs";
  ASSERT_EQ(set_.post(runs, run_body(0, 40, "a")).status, 200);
  const auto second = set_.post(runs, run_body(6, 12, "b"));
  ASSERT_EQ(second.status, 200) << second.body;

  const Robot robot = *robot_from(*parse_json(robot_body().dump()));
  const std::vector<KeptRun> kept = *set_.record().runs_of(id);
  ASSERT_EQ(kept.size(), 2U);
  const std::vector<runtrue::Run> plain = {kept[0].run, kept[1].run};
  const Truing truing = *true_robot(robot, plain);

  const json page = set_.get("/api/robots/" + std::to_string(id)).body;
  EXPECT_EQ(page, second.body["page"]);
  EXPECT_EQ(page["change"], second.body["change"]);
  EXPECT_EQ(page["robot"], json(robot_document(robot)));
  EXPECT_EQ(page["sentence"], sentence_of(robot, truing));
  EXPECT_EQ(page["advice"], json(advice_document(robot, truing)));
  EXPECT_EQ(page["settings"], json(settings_document(robot, truing)));
  EXPECT_EQ(page["curve"], json(curve_document(truing)));
  EXPECT_EQ(page["tolerance_mm_per_m"], 10);
  ASSERT_EQ(page["runs"].size(), 2U);
  EXPECT_EQ(page["runs"][1]["id"], second.body["run_id"]);
  EXPECT_EQ(page["runs"][1]["row"], 2);
  EXPECT_EQ(page["runs"][1]["at"], "2026-11-25T10:42:00Z");
  EXPECT_EQ(page["runs"][1]["trim"], 6);
  EXPECT_EQ(page["runs"][1]["line_mm"], 1400);
  EXPECT_FALSE(page["runs"][1].contains("seconds"));
  ASSERT_EQ(page["run_drifts"].size(), 2U);
  EXPECT_EQ(page["run_drifts"][0]["run_id"], page["runs"][0]["id"]);
  EXPECT_EQ(page["run_drifts"][1]["run_id"], page["runs"][1]["id"]);
}

TEST_F(SetServiceTest, ARobotsState_GoesFromTruingToTrue) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string runs = "/api/robots/" + std::to_string(id) + "/runs";
  ASSERT_EQ(set_.post(runs, run_body(0, 40, "first")).status, 200);
  const json line = set_.get("/api/set").body["robots"][0];
  EXPECT_EQ(line["state"], "truing");
  EXPECT_EQ(line["word"], "needs truing");
  EXPECT_GT(line["last_drift_mm_per_m"].get<double>(), 0.0);  // to the left
  EXPECT_EQ(line["run_count"], 1);
  EXPECT_EQ(line["last_run_at"], "2026-11-25T10:42:00Z");
  // A robot that bends by 5 mm/m less for each count of trim, run after run as told.
  for (int i = 0; i < 12; ++i) {
    const int trim = i % 2 == 0 ? 8 : 6;
    ASSERT_EQ(set_.post(runs, run_body(trim, 40 - 5 * trim, std::to_string(i))).status, 200);
  }
  const json after = set_.get("/api/set").body["robots"][0];
  EXPECT_EQ(after["state"], "true");
  EXPECT_EQ(after["word"], "needs turns");
  EXPECT_EQ(after["trim"], 8);
  EXPECT_GT(after["in_tolerance_probability"], 0.95);  // the stop rule of truing
}

TEST_F(SetServiceTest, ADescription_IsChangedUnlessSomeoneElseDidSo) {
  const auto added = set_.post("/api/robots", robot_body());
  const std::string path = "/api/robots/" + added.body["id"].dump();
  json wider = robot_body();
  wider["track_width_mm"] = 150;
  wider["based_on"] = added.body["change"];
  EXPECT_EQ(set_.put(path, wider).status, 200);
  EXPECT_EQ(set_.get(path).body["robot"]["track_width_mm"], 150);
  wider["track_width_mm"] = 160;  // still based on what was there before
  EXPECT_EQ(set_.put(path, wider).status, 409);
  EXPECT_EQ(set_.get(path).body["robot"]["track_width_mm"], 150);
  wider["based_on"] = "now";
  EXPECT_EQ(set_.put(path, wider).field(), "based_on");
}

TEST_F(SetServiceTest, ADescriptionThatCantBe_IsRefusedWithItsField) {
  json robot = robot_body();
  robot["track_width_mm"] = 14;
  EXPECT_EQ(set_.post("/api/robots", robot).status, 400);
  EXPECT_EQ(set_.post("/api/robots", robot).field(), "track_width_mm");
  robot = robot_body();
  robot.erase("track_width_mm");
  EXPECT_EQ(set_.post("/api/robots", robot).field(), "track_width_mm");
  robot = robot_body();
  robot["track_width_mm"] = "wide";
  EXPECT_EQ(set_.post("/api/robots", robot).field(), "track_width_mm");
  robot = robot_body();
  robot["press"] = {{"step_mm", 0}};
  EXPECT_EQ(set_.post("/api/robots", robot).field(), "press.step_mm");
  robot = robot_body();
  robot["trim_range_deg"] = 3;
  EXPECT_EQ(set_.post("/api/robots", robot).field(), "trim_range_deg");
  EXPECT_EQ(set_.get("/api/set").body["robots"].size(), 0U);
}

TEST_F(SetServiceTest, ANameThatIsThere_IsAConflict) {
  set_.add("/api/robots", robot_body());
  EXPECT_EQ(set_.post("/api/robots", robot_body()).status, 409);
  set_.add("/api/tables", table_body());
  EXPECT_EQ(set_.post("/api/tables", table_body()).status, 409);
}

// --- runs ---

TEST_F(SetServiceTest, TheSameKeyAgain_AnswersTheSameAndAddsNothing) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string runs = "/api/robots/" + std::to_string(id) + "/runs";
  const auto first = set_.post(runs, run_body(0, 40, "tap"));
  ASSERT_EQ(first.status, 200);
  const auto again = set_.post(runs, run_body(0, 40, "tap"));
  EXPECT_EQ(again.status, 200);
  EXPECT_EQ(again.body, first.body);
  EXPECT_EQ(set_.record().runs_of(id)->size(), 1U);
  const RecordId other = set_.add("/api/robots", robot_body("Knot"));
  EXPECT_EQ(
      set_.post("/api/robots/" + std::to_string(other) + "/runs", run_body(0, 40, "tap")).status,
      409);
}

TEST_F(SetServiceTest, TheSameKeyFromManyAtOnce_AddsOneRun) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string runs = "/api/robots/" + std::to_string(id) + "/runs";
  std::vector<std::thread> taps;
  std::vector<json> run_ids(8);
  for (json& run_id : run_ids) {
    taps.emplace_back(
        [&] { run_id = set_.post(runs, run_body(0, 40, "tap")).body.value("run_id", 0); });
  }
  for (std::thread& tap : taps) tap.join();
  EXPECT_EQ(set_.record().runs_of(id)->size(), 1U);
  for (const json& run_id : run_ids) EXPECT_EQ(run_id, run_ids[0]);
}

TEST_F(SetServiceTest, ARunThatCantBe_IsRefusedWithItsField) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string runs = "/api/robots/" + std::to_string(id) + "/runs";
  const auto refused = [&](const char* key, const json& value) {
    json run = run_body(0, 40, "k");
    if (value.is_null()) {
      run.erase(key);
    } else {
      run[key] = value;
    }
    const auto answer = set_.post(runs, run);
    EXPECT_EQ(answer.status, 400) << key;
    return answer.field();
  };
  EXPECT_EQ(refused("key", nullptr), "key");
  EXPECT_EQ(refused("key", ""), "key");
  EXPECT_EQ(refused("key", std::string(201, 'x')), "key");
  EXPECT_EQ(refused("kind", nullptr), "kind");
  EXPECT_EQ(refused("kind", "wobbly"), "kind");
  EXPECT_EQ(refused("level", 0), "level");
  EXPECT_EQ(refused("level", 128.5), "level");
  EXPECT_EQ(refused("trim", 31), "trim");
  EXPECT_EQ(refused("trim", "six"), "trim");
  EXPECT_EQ(refused("half_line_mm", 1500), "half_line_mm");
  EXPECT_EQ(refused("batery_v", 4.1), "batery_v");
  EXPECT_EQ(set_.record().runs_of(id)->size(), 0U);
}

TEST_F(SetServiceTest, ARunLeftOut_IsKeptButNotUsed) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const auto added = set_.post("/api/robots/" + std::to_string(id) + "/runs", run_body(0, 40, "a"));
  const std::string path = "/api/runs/" + added.body["run_id"].dump() + "/left-out";
  const auto out = set_.post(path, {{"left_out", true}});
  ASSERT_EQ(out.status, 200) << out.body;
  EXPECT_EQ(out.body["page"]["runs"][0]["left_out"], true);
  EXPECT_EQ(out.body["page"]["run_drifts"], json::array());
  EXPECT_EQ(set_.get("/api/set").body["robots"][0]["state"], "new");
  EXPECT_EQ(set_.post(path, {{"left_out", true}}).body["change"], 0);
  const auto back = set_.post(path, {{"left_out", false}});
  EXPECT_EQ(back.body["page"]["run_drifts"].size(), 1U);
  EXPECT_EQ(set_.post(path).field(), "left_out");
  EXPECT_EQ(set_.post(path, {{"left_out", "yes"}}).field(), "left_out");
}

TEST_F(SetServiceTest, KeptSettings_StandOnTheRobotsPage) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string path = "/api/robots/" + std::to_string(id);
  ASSERT_EQ(set_.post(path + "/runs", run_body(0, 40, "a")).status, 200);
  ASSERT_EQ(set_.post(path + "/settings").status, 200);
  const json page = set_.get(path).body;
  ASSERT_EQ(page["kept_settings"].size(), 1U);
  EXPECT_EQ(page["kept_settings"][0]["trim"], page["advice"]["best_trim"]);
  EXPECT_EQ(page["kept_settings"][0]["level"], 128);
  EXPECT_EQ(page["kept_settings"][0]["at"], "2026-11-25T10:42:00Z");
}

// --- tables and lists ---

TEST_F(SetServiceTest, ATable_IsReadAsItWasWrittenAndMayBeWrittenBackWhole) {
  const RecordId id = set_.add("/api/tables", table_body());
  const std::string path = "/api/tables/" + std::to_string(id);
  json table = set_.get(path).body;
  EXPECT_EQ(table["id"], id);
  json as_written = table;
  as_written.erase("id");
  as_written.erase("sides");
  EXPECT_EQ(as_written, table_body());
  EXPECT_EQ(table["sides"].size(), 4U);
  EXPECT_EQ(table["sides"][1]["to_mm"], (json{1520, 760}));
  table["edge_mm"][1][0] = 1600;
  table["edge_mm"][2][0] = 1600;
  EXPECT_EQ(set_.put(path, table).status, 200);
  json read = set_.get(path).body;
  EXPECT_EQ(read["sides"][1]["to_mm"], (json{1600, 760}));
  read.erase("sides");
  table.erase("sides");
  EXPECT_EQ(read, table);
  table["id"] = id + 1;
  EXPECT_EQ(set_.put(path, table).field(), "id");
}

TEST_F(SetServiceTest, ATableThatCantBe_IsRefusedWithItsField) {
  json table = table_body();
  table["edge_mm"] = {{0, 0}, {100, 0}};
  EXPECT_EQ(set_.post("/api/tables", table).field(), "edge_mm");
  table = table_body();
  table["obstacles"][0]["radius_mm"] = -1;
  EXPECT_EQ(set_.post("/api/tables", table).field(), "obstacles[0].radius_mm");
  EXPECT_EQ(set_.get("/api/set").body["tables"].size(), 0U);
}

TEST_F(SetServiceTest, AListWithFaults_IsKeptAllTheSame) {
  const RecordId id = set_.add("/api/lists", {{"name", "square"}, {"text", "drive sideways"}});
  const std::string path = "/api/lists/" + std::to_string(id);
  EXPECT_EQ(set_.get(path).body["text"], "drive sideways");
  EXPECT_EQ(set_.put(path, {{"name", "square"}, {"text", kSquare}}).status, 200);
  const json expected = {{"id", id}, {"name", "square"}, {"text", kSquare}};
  EXPECT_EQ(set_.get(path).body, expected);
  EXPECT_EQ(set_.put(path, {{"name", "square"}}).field(), "text");
  EXPECT_EQ(set_.post("/api/lists", {{"text", kSquare}}).field(), "name");
}

TEST_F(SetServiceTest, CheckingAList_NamesEveryFaultOrGivesTheMoves) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  const json good = set_.post("/api/lists/check", {{"text", kSquare}, {"robot_id", robot}}).body;
  EXPECT_EQ(good["faults"], json::array());
  ASSERT_EQ(good["moves"].size(), 8U);
  EXPECT_EQ(good["moves"][0]["line"], 2);
  EXPECT_EQ(good["moves"][0]["text"], "drive 200 mm");
  EXPECT_GT(good["moves"][0]["milliseconds"], 0);
  EXPECT_EQ(good["moves"][0]["left_level"], 128);
  EXPECT_EQ(good["moves"][0]["right_level"], 128);
  EXPECT_EQ(good["moves"][1]["left_level"], 128);  // a turn to the right on the spot
  EXPECT_EQ(good["moves"][1]["right_level"], -128);
  EXPECT_EQ(good["press_list"]["count"], 12);  // two steps of 100 mm and a turn, four times
  EXPECT_EQ(good["press_list"]["limit"], 20);
  EXPECT_EQ(good["press_list"]["fits"], true);
  EXPECT_EQ(good["press_list"]["presses"][2], "right");
  EXPECT_EQ(good["press_faults"], json::array());
  const json bad =
      set_.post("/api/lists/check", {{"text", "drive sideways\nturn 90\n"}, {"robot_id", robot}})
          .body;
  ASSERT_EQ(bad["faults"].size(), 2U);
  EXPECT_EQ(bad["faults"][0]["line"], 1);
  EXPECT_EQ(bad["faults"][1]["line"], 2);
  EXPECT_EQ(bad["moves"], json::array());
  EXPECT_TRUE(bad["press_list"].is_null());
  const json not_keyed =
      set_.post("/api/lists/check", {{"text", "drive 150 mm\n"}, {"robot_id", robot}}).body;
  EXPECT_EQ(not_keyed["moves"].size(), 1U);
  EXPECT_TRUE(not_keyed["press_list"].is_null());
  EXPECT_EQ(not_keyed["press_faults"][0]["line"], 1);
}

TEST_F(SetServiceTest, AFaultForThisRobotAlone_StandsAtItsLine) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  const json answer =
      set_.post("/api/lists/check",
                {{"text", "drive 100 mm\nat level 300\ndrive 100 mm\n"}, {"robot_id", robot}})
          .body;
  ASSERT_EQ(answer["faults"].size(), 1U);
  EXPECT_GE(answer["faults"][0]["line"], 2);
}

// --- forecasts ---

TEST_F(SetServiceTest, AForecast_IsTheSameForTheSameSeedAndHasWhatADrawingNeeds) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  const RecordId table = set_.add("/api/tables", table_body());
  const auto answer = set_.post("/api/forecast", forecast_body(robot, table));
  ASSERT_EQ(answer.status, 200) << answer.body;
  EXPECT_EQ(answer.body, set_.post("/api/forecast", forecast_body(robot, table)).body);
  EXPECT_EQ(answer.body["samples"], 500);
  EXPECT_EQ(answer.body["seed"], 7);
  EXPECT_EQ(answer.body["moves"].size(), 8U);
  EXPECT_EQ(answer.body["move_ends"].size(), 8U);
  EXPECT_FALSE(answer.body["nominal_path"].empty());
  EXPECT_FALSE(answer.body["sample_paths"].empty());
  EXPECT_FALSE(answer.body["region_95"].empty());
  EXPECT_FALSE(answer.body["sentence"].get<std::string>().empty());
  json with_table = forecast_body(robot, table);
  with_table.erase("table_id");
  with_table["table"] = table_body();
  EXPECT_EQ(set_.post("/api/forecast", with_table).body, answer.body);
}

TEST_F(SetServiceTest, TheSafestStart_IsAStartThatCanBeForecast) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  const RecordId table = set_.add("/api/tables", table_body());
  json body = forecast_body(robot, table);
  body.erase("start");
  const auto safest = set_.post("/api/safest-start", body);
  ASSERT_EQ(safest.status, 200) << safest.body;
  EXPECT_LE(safest.body["mishap"]["low"], safest.body["mishap"]["mean"]);
  EXPECT_LE(safest.body["mishap"]["mean"], safest.body["mishap"]["high"]);
  body["start"] = safest.body["start"];
  EXPECT_EQ(set_.post("/api/forecast", body).status, 200);
}

TEST_F(SetServiceTest, Remedies_SayWhatWouldHelp) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  const RecordId table = set_.add("/api/tables", table_body());
  const auto answer = set_.post("/api/remedies", forecast_body(robot, table));
  ASSERT_EQ(answer.status, 200) << answer.body;
  EXPECT_FALSE(answer.body["measurements"].empty());
  EXPECT_GE(answer.body["words"].size(), 2U);  // of the size and of what to measure
}

TEST_F(SetServiceTest, AForecastThatCantBeMade_SaysWhichFieldIsWrong) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  const RecordId table = set_.add("/api/tables", table_body());
  const auto field = [&](const char* key, const json& value) {
    json body = forecast_body(robot, table);
    if (value.is_null()) {
      body.erase(key);
    } else {
      body[key] = value;
    }
    const auto answer = set_.post("/api/forecast", body);
    EXPECT_EQ(answer.status, 400) << key << answer.body;
    return answer.field();
  };
  EXPECT_EQ(field("robot_id", nullptr), "robot_id");
  EXPECT_EQ(field("text", nullptr), "text");
  EXPECT_EQ(field("text", "drive sideways"), "text");
  EXPECT_EQ(field("table_id", nullptr), "table_id");
  EXPECT_EQ(field("table", table_body()), "table_id");
  EXPECT_EQ(field("start", nullptr), "start");
  EXPECT_EQ(field("start", {{"x_mm", 1}, {"y_mm", 2}}), "start.heading_deg");
  EXPECT_EQ(field("samples", 0), "samples");
  EXPECT_EQ(field("samples", kMostSamples + 1), "samples");
  EXPECT_EQ(field("seed", -1), "seed");
  json body = forecast_body(robot, table);
  body["start"]["x_mm"] = 5000;  // beside the table
  EXPECT_EQ(set_.post("/api/forecast", body).status, 400);
}

// --- taking back ---

TEST_F(SetServiceTest, Undo_NamesWhatItTookBackAndRedoBringsItBack) {
  EXPECT_EQ(set_.post("/api/undo").status, 409);
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string path = "/api/robots/" + std::to_string(id);
  const auto run = set_.post(path + "/runs", run_body(0, 40, "a"));
  const json offered = set_.get("/api/set").body["undo"];
  EXPECT_EQ(offered["change"], run.body["change"]);
  const auto undone = set_.post("/api/undo");
  ASSERT_EQ(undone.status, 200) << undone.body;
  EXPECT_EQ(undone.body["undone"], offered["what"]);
  EXPECT_NE(undone.body["undone"].get<std::string>().find("Dunlin"), std::string::npos);
  EXPECT_GT(undone.body["change"], run.body["change"]);
  EXPECT_EQ(set_.get(path).body["runs"].size(), 0U);
  EXPECT_EQ(set_.get("/api/set").body["redo"]["change"], run.body["change"]);
  ASSERT_EQ(set_.post("/api/redo").status, 200);
  EXPECT_EQ(set_.get(path).body["runs"].size(), 1U);
  EXPECT_EQ(set_.post("/api/redo").status, 409);
}

TEST_F(SetServiceTest, Undo_TakesBackOnlyWhatItsAskerSaw) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const auto run = set_.post("/api/robots/" + std::to_string(id) + "/runs", run_body(0, 40, "a"));
  const std::int64_t newest = run.body["change"];
  EXPECT_EQ(set_.post("/api/undo", {{"expected", newest - 1}}).status, 409);
  EXPECT_EQ(set_.record().runs_of(id)->size(), 1U);
  EXPECT_EQ(set_.post("/api/undo", {{"expected", newest}}).status, 200);
}

// --- refusals that every route shares ---

TEST_F(SetServiceTest, IdsThatAreNotThere_AreNotFound) {
  for (const char* path : {"/api/robots/99", "/api/tables/99", "/api/lists/99"}) {
    EXPECT_EQ(set_.get(path).status, 404) << path;
  }
  EXPECT_EQ(set_.put("/api/robots/99", robot_body()).status, 404);
  EXPECT_EQ(set_.post("/api/robots/99/runs", run_body(0, 1, "k")).status, 404);
  EXPECT_EQ(set_.post("/api/robots/99/settings").status, 404);
  EXPECT_EQ(set_.post("/api/runs/99/left-out", {{"left_out", true}}).status, 404);
  EXPECT_EQ(set_.put("/api/tables/99", table_body()).status, 404);
  EXPECT_EQ(set_.put("/api/lists/99", {{"name", "a"}, {"text", ""}}).status, 404);
  EXPECT_EQ(set_.post("/api/lists/check", {{"text", ""}, {"robot_id", 99}}).status, 404);
  const RecordId robot = set_.add("/api/robots", robot_body());
  EXPECT_EQ(set_.post("/api/forecast", forecast_body(robot, 99)).status, 404);
}

TEST_F(SetServiceTest, AddressesThatAreNone_AreNotFound) {
  for (const char* path :
       {"/api", "/api/", "/api/sets", "/api/set/", "/api/robots/", "/api/robots/x", "/api/robots/0",
        "/api/robots/-1", "/api/robots/1x", "/api/robots/99999999999999999999",
        "/api/robots/1/runs/2", "/api//set", ""}) {
    EXPECT_EQ(set_.get(path).status, 404) << path;
  }
}

TEST_F(SetServiceTest, AWrongMethod_IsToldTheRightOnes) {
  EXPECT_EQ(set_.post("/api/set").status, 405);
  EXPECT_EQ(set_.post("/api/set").allow, "GET, PUT");
  EXPECT_EQ(set_.get("/api/undo").allow, "POST");
  EXPECT_EQ(set_.get("/api/robots/1/runs").allow, "POST");
  EXPECT_EQ(set_.post("/api/tables/1").allow, "GET, PUT");
  EXPECT_EQ(set_.put("/api/forecast", json::object()).allow, "POST");
}

TEST_F(SetServiceTest, BodiesThatAreNoJsonObject_AreRefusedByEveryRoute) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  ASSERT_EQ(robot, 1);
  ASSERT_EQ(set_.add("/api/tables", table_body()), 1);
  ASSERT_EQ(set_.add("/api/lists", {{"name", "a"}, {"text", ""}}), 1);
  const auto run = set_.post("/api/robots/1/runs", run_body(0, 1, "k"));
  const std::string left_out = "/api/runs/" + run.body["run_id"].dump() + "/left-out";
  const std::vector<std::pair<const char*, std::string>> routes = {
      {"PUT", "/api/set"},
      {"POST", "/api/undo"},
      {"POST", "/api/redo"},
      {"POST", "/api/robots"},
      {"PUT", "/api/robots/1"},
      {"POST", "/api/robots/1/runs"},
      {"POST", left_out},
      {"POST", "/api/robots/1/settings"},
      {"POST", "/api/tables"},
      {"PUT", "/api/tables/1"},
      {"POST", "/api/lists"},
      {"PUT", "/api/lists/1"},
      {"POST", "/api/lists/check"},
      {"POST", "/api/forecast"},
      {"POST", "/api/safest-start"},
      {"POST", "/api/remedies"},
  };
  const std::int64_t before = set_.get("/api/set").body["change"];
  for (const auto& [method, path] : routes) {
    for (const char* body : {"{", "{\"a\":}", "[]", "null", "3", "\"text\"", "{\"name\": \"\xff\"}",
                             "{\"nobody_asked_for_this\": 1}", "{\"name\":1,\"name\":2}"}) {
      EXPECT_EQ(set_.ask_text(method, path, body).status, 400) << method << path << body;
    }
  }
  EXPECT_EQ(set_.get("/api/set").body["change"], before);
}

// --- telling the pages ---

TEST_F(SetServiceTest, EveryChange_IsToldOnceInOrderWithItsIds) {
  const RecordId robot = set_.add("/api/robots", robot_body());
  const RecordId table = set_.add("/api/tables", table_body());
  const RecordId list = set_.add("/api/lists", {{"name", "a"}, {"text", ""}});
  ASSERT_EQ(set_.post("/api/undo").status, 200);
  EXPECT_EQ(set_.post("/api/robots", robot_body()).status, 409);  // no change
  const auto news = set_.events().wait_after(0, std::chrono::milliseconds(0)).notices;
  ASSERT_EQ(news.size(), 4U);
  EXPECT_EQ(news[0].robot_id, robot);
  EXPECT_EQ(news[1].table_id, table);
  EXPECT_EQ(news[2].list_id, list);
  EXPECT_EQ(news[3].list_id, list);
  for (std::size_t i = 1; i < news.size(); ++i) EXPECT_GT(news[i].change, news[i - 1].change);
}

TEST_F(SetServiceTest, ChangesOfAnotherProgram_AreToldAndSeen) {
  const RecordId id = set_.add("/api/robots", robot_body());
  const std::string path = "/api/robots/" + std::to_string(id);
  EXPECT_EQ(set_.get(path).body["runs"].size(), 0U);
  auto other = Record::open(set_.path());
  ASSERT_TRUE(other) << other.error().one_line();
  runtrue::Run run;
  run.level = Level{128};
  run.end = LineReading{Length::from_mm(1000), Length::from_mm(20)};
  const auto added = other->add_run(id, run, "", {"2026-11-25T11:00:00Z", "another"});
  ASSERT_TRUE(added) << added.error().one_line();
  EXPECT_EQ(set_.get(path).body["runs"].size(), 1U);
  set_.service().tell_changes();
  EXPECT_EQ(set_.events().newest(), added->change);
}

}  // namespace
}  // namespace runtrue
