// A robot's state is computed once for each change that touches it, never twice and never not.
#include "server/robot_states.h"

#include <gtest/gtest.h>

#include <thread>
#include <vector>

#include "server/test_set.h"

namespace runtrue {
namespace {

using testing::TestFolder;

const Stamp kStamp{"2026-11-25T10:42:00Z", ""};

Run straight(double sideways_mm) {
  Run run;
  run.level = Level{128};
  run.end = LineReading{Length::from_mm(1000), Length::from_mm(sideways_mm)};
  return run;
}

class RobotStatesTest : public ::testing::Test {
 protected:
  RobotStatesTest() : record_(*Record::open(folder_.file("set.sqlite"))) {
    for (const char* name : {"Dunlin", "Knot", "Ruff"}) {
      const auto added = record_.add_robot(default_robot(name, Length::from_mm(140)), kStamp);
      EXPECT_TRUE(added) << added.error().one_line();
    }
  }
  std::vector<RobotLine> lines() { return record_.overview()->robots; }

  TestFolder folder_;
  Record record_;
};

TEST_F(RobotStatesTest, WithoutAChange_NothingIsComputedAgain) {
  RobotStates states(record_, 2);
  const auto first = *states.of_all(lines());
  const auto again = *states.of_all(lines());
  ASSERT_EQ(first.size(), 3U);
  EXPECT_EQ(first, again);  // the very same objects
  EXPECT_EQ(states.kept(), 3U);
}

TEST_F(RobotStatesTest, AfterAChange_OnlyThatRobotIsComputedAgain) {
  RobotStates states(record_, 2);
  const auto before = *states.of_all(lines());
  const auto robots = lines();
  ASSERT_TRUE(record_.add_run(robots[1].id, straight(25), "", kStamp));
  const auto after = *states.of_all(lines());
  EXPECT_EQ(after[0], before[0]);
  EXPECT_NE(after[1], before[1]);
  EXPECT_EQ(after[2], before[2]);
  EXPECT_EQ(after[1]->runs.size(), 1U);
  ASSERT_TRUE(record_.undo(kStamp));
  EXPECT_EQ((*states.of_all(lines()))[1]->runs.size(), 0U);
}

TEST_F(RobotStatesTest, ManyWhoAskAtOnce_GetOneComputation) {
  RobotStates states(record_, 1);
  const RobotLine line = lines()[0];
  std::vector<RobotStateRef> answers(8);
  std::vector<std::thread> askers;
  for (RobotStateRef& answer : answers) {
    askers.emplace_back([&] { answer = *states.of(line.id, line.last_change); });
  }
  for (std::thread& asker : askers) asker.join();
  for (const RobotStateRef& answer : answers) EXPECT_EQ(answer, answers[0]);
}

TEST_F(RobotStatesTest, ARobotThatIsNotThere_IsAnErrorThatIsNotKept) {
  RobotStates states(record_, 1);
  const auto answer = states.of(99, 1);
  ASSERT_FALSE(answer);
  EXPECT_EQ(answer.error().kind, ErrorKind::kNotFound);
  EXPECT_EQ(states.kept(), 0U);
}

}  // namespace
}  // namespace runtrue
