// Loading a robot and reading its log, with the robot's own machine behind a pseudo-terminal.
#include <atomic>
#include <thread>

#include "link/host_robot.h"
#include "tests/system/program.h"

namespace runtrue {
namespace {

class RobotOnCable : public Bench {
 protected:
  RobotOnCable() : line_(PseudoTerminal::open().value()) {
    thread_ = std::thread([this] {
      while (!stop_) robot_.serve(*line_, std::chrono::milliseconds(5));
    });
  }
  ~RobotOnCable() override {
    stop_ = true;
    thread_.join();
  }
  // Only while no program speaks with it.
  HostRobot& robot() { return robot_; }
  [[nodiscard]] const std::string& port() const { return line_->path(); }

 private:
  std::unique_ptr<PseudoTerminal> line_;
  HostRobot robot_{0};
  std::atomic<bool> stop_ = false;
  std::thread thread_;
};

TEST_F(RobotOnCable, LoadedWithAListAndTrials_RunsThemAndSaysSoInItsLog) {
  const Outcome loaded = run({"load", "robot.json", "runs.csv", "--moves", "list.moves", "--trials",
                              "3", "--port", port(), "--json"});
  ASSERT_EQ(loaded.status, 0) << loaded.err;
  const auto document = document_of(loaded);
  ASSERT_EQ(document["trials"].size(), 3U);
  EXPECT_GT(document["moves"].get<int>(), 0);
  for (int i = 0; i < 3; ++i) {
    robot().press(robot::kKeyGo);
    robot().pass(62000);
  }
  const auto log = document_of(run({"log", "--port", port(), "--json"}));
  EXPECT_EQ(log["robot"], document["robot"]);
  ASSERT_EQ(log["runs"].size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(log["runs"][i]["trial"], i + 1);
    EXPECT_EQ(log["runs"][i]["trim"], document["trials"][i]["trim"]);
    EXPECT_EQ(log["runs"][i]["ended"], "finished");
  }
  EXPECT_NE(run({"log", "--port", port()}).out.find("trial 3"), std::string::npos);

  // Noted as they ran, and then with slips.
  const auto row = [&](std::size_t i, int trim_slip, int level_slip) {
    const auto& trial = document["trials"][i];
    const bool turn = trial["kind"] == "turn", timed = trial.contains("seconds");
    const auto value = [&](const char* key) { return std::to_string(trial[key].get<double>()); };
    return trial["kind"].get<std::string>() + "," +
           std::to_string(trial["level"].get<int>() + level_slip) + "," +
           std::to_string(trial["trim"].get<int>() + trim_slip) + "," +
           (timed ? value("seconds") : "") + "," + (timed ? "" : value("half_line_mm") + ",3") +
           (timed ? "," : "") + "," + (timed ? "" : value("line_mm") + ",7") + (timed ? "," : "") +
           "," + (timed && !turn ? "900" : "") + "," +
           (turn ? trial["direction"] == "left" ? "80" : "-80" : "") + "\n";
  };
  const std::string head =
      "kind,level,trim,seconds,half_line_mm,half_sideways_mm,line_mm,sideways_mm,distance_mm,"
      "turned_deg\nstraight,128,25,,600,1,1200,2,,\n";  // before the log begins
  write("noted.csv", head + row(0, 0, 0) + row(1, 0, 0) + row(2, 0, 0));
  const std::vector<std::string> compare{"log", "--port", port(), "--runs", "noted.csv", "--json"};
  const Outcome fits = run(compare);
  EXPECT_EQ(fits.status, 0) << fits.out << read("noted.csv");
  EXPECT_TRUE(document_of(fits)["doubts"].empty());
  write("noted.csv", head + row(0, 1, 0) + row(2, 0, 2));
  const Outcome slips = run(compare);
  EXPECT_EQ(slips.status, 1);
  const auto doubts = document_of(slips)["doubts"];
  ASSERT_EQ(doubts.size(), 3U) << slips.out;
  EXPECT_EQ(doubts[0]["row"], 3);
  EXPECT_EQ(doubts[0]["number"], 1);
  EXPECT_TRUE(doubts[1]["row"].is_null());
  EXPECT_EQ(doubts[1]["number"], 2);
  EXPECT_EQ(doubts[2]["row"], 4);
}

TEST_F(RobotOnCable, RobotOfAnotherName_IsLoadedOnlyWhereItIsMeant) {
  ASSERT_EQ(run({"load", "robot.json", "runs.csv", "--port", port()}).status, 0);
  write("other.json", R"({"name": "Whimbrel", "track_width_mm": 140, "trim_range": [-30, 30]})");
  const Outcome refused = run({"load", "other.json", "runs.csv", "--port", port()});
  expect_refusal(refused, port() + ": this robot is loaded as ", {"expected Whimbrel; --replace"});
  EXPECT_EQ(run({"load", "other.json", "runs.csv", "--port", port(), "--replace"}).status, 0);
  EXPECT_EQ(document_of(run({"log", "--port", port(), "--json"}))["robot"], "Whimbrel");
}

TEST_F(RobotOnCable, PortThatIsNone_IsNamed) {
  expect_refusal(run({"log", "--port", "/dev/ttyNOWHERE"}),
                 "/dev/ttyNOWHERE: there is no such port; ", {});
  expect_refusal(run({"load", "robot.json", "runs.csv", "--trials", "9"}), "--trials: '9', ",
                 {"expected a whole number from 1 to 8"});
}

}  // namespace
}  // namespace runtrue
