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
