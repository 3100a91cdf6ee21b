// What examples/README.md says of the example set, checked on the files as they lie there.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "files/robot_json.h"
#include "files/runs_csv.h"
#include "files/table_json.h"
#include "files/text_file.h"
#include "forecast/forecast.h"
#include "moves/compile.h"
#include "moves/move_list.h"
#include "truing/truing.h"

namespace runtrue {
namespace {

const std::string kFolder = RUNTRUE_EXAMPLES;

struct Example {
  Robot robot;
  std::vector<Run> runs;
  Truing truing;
};

Example example(const std::string& name) {
  const std::string robot_file = kFolder + "/robots/" + name + ".json";
  const std::string runs_file = kFolder + "/runs/" + name + ".csv";
  Example e;
  e.robot = read_robot(read_text(robot_file).value(), robot_file).value();
  e.runs = read_runs(read_text(runs_file).value(), runs_file, e.robot).value();
  e.truing = true_robot(e.robot, e.runs).value();
  return e;
}

std::vector<std::string> files_in(const std::string& part) {
  std::vector<std::string> files;
  for (const auto& entry : std::filesystem::directory_iterator(kFolder + part)) {
    files.push_back(entry.path().string());
  }
  std::sort(files.begin(), files.end());
  return files;
}

class TruedRobot : public testing::TestWithParam<const char*> {};

TEST_P(TruedRobot, ByAdvice_IsInToleranceAfterAtMostFourStraights) {
  const Example e = example(GetParam());
  const auto straights = std::count_if(e.runs.begin(), e.runs.end(),
                                       [](const runtrue::Run& run) { return run.end.has_value(); });
  EXPECT_LE(straights, 4);
  EXPECT_EQ(e.truing.verdict, Verdict::kInTolerance) << e.truing.reason;
}

TEST_P(TruedRobot, WithDistancesAndTurns_HasNothingLeftToRunAndNothingAssumedOfThem) {
  const Example e = example(GetParam());
  EXPECT_FALSE(e.truing.next_run);
  EXPECT_TRUE(e.truing.doubtful_runs.empty());
  const auto& assumed = e.truing.settings.assumed;
  // Not the trim's effect: a robot that is true at once never has its trim turned.
  for (const Constant told :
       {Constant::kMismatchForward, Constant::kLogSpeedGain, Constant::kLogTurnGainLeft}) {
    EXPECT_EQ(std::count(assumed.begin(), assumed.end(), told), 0) << text_of(told).key;
  }
}

INSTANTIATE_TEST_SUITE_P(Set, TruedRobot,
                         testing::Values("dunlin", "knot", "turnstone", "whimbrel"));

TEST(ExampleRuff, HasTwoRuns_AndNeedsTruing) {
  const Example e = example("ruff");
  EXPECT_EQ(e.runs.size(), 2U);
  EXPECT_EQ(e.truing.verdict, Verdict::kMoreRuns);
  EXPECT_TRUE(e.truing.next_run);
}

TEST(ExampleSnipe, WithARunNotedToTheWrongSide_NamesThatRunAndIsInToleranceAllTheSame) {
  const Example e = example("snipe");
  ASSERT_EQ(e.truing.doubtful_runs.size(), 1U);
  EXPECT_EQ(e.truing.doubtful_runs[0].row, 3);  // the second run, below the column names
  EXPECT_NE(e.truing.doubtful_runs[0].because.find("it fits if "), std::string::npos)
      << e.truing.doubtful_runs[0].because;
  EXPECT_EQ(e.truing.verdict, Verdict::kInTolerance);
}

TEST(ExampleLists, Each_IsWithoutFaultAndCompilesForEveryTruedRobot) {
  const auto lists = files_in("/lists");
  ASSERT_FALSE(lists.empty());
  for (const std::string& file : lists) {
    const auto moves = flatten(parse_moves(read_text(file).value(), file).value());
    ASSERT_TRUE(moves) << file;
    for (const char* name : {"dunlin", "knot", "snipe", "turnstone", "whimbrel"}) {
      const Example e = example(name);
      const auto compiled = compile_moves(*moves, e.robot, e.truing.settings);
      EXPECT_TRUE(compiled) << file << " for " << name << ": " << compiled.error().one_line();
    }
  }
}

TEST(ExampleTables, Each_CanBeRead) {
  for (const std::string& file : files_in("/tables")) {
    const auto table = read_table(read_text(file).value(), file);
    EXPECT_TRUE(table) << table.error().one_line();
  }
}

}  // namespace
}  // namespace runtrue
