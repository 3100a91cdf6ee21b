// The record by the command line: what goes in comes out the same, and wrong things change nothing.
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include "tests/system/program.h"

namespace runtrue {
namespace {

using nlohmann::json;

class RecordFile : public Bench {
 protected:
  [[nodiscard]] Outcome record(std::vector<std::string> words) const {
    words.insert(words.begin(), "record");
    words.insert(words.end(), {"--data", "set.sqlite"});
    return run(words);
  }
  void fill() const {
    ASSERT_EQ(record({"import", "robot", "robot.json", "--who", "Ada"}).status, 0);
    ASSERT_EQ(record({"import", "runs", "runs.csv", "--robot", "Dunlin"}).status, 0);
    ASSERT_EQ(record({"import", "table", "table.json"}).status, 0);
    ASSERT_EQ(record({"import", "moves", "list.moves"}).status, 0);
  }
};

TEST_F(RecordFile, EveryPart_ComesOutAsItWentIn) {
  fill();
  write("robot2.json", record({"export", "robot", "Dunlin"}).out);
  write("runs2.csv", record({"export", "runs", "Dunlin"}).out);
  EXPECT_EQ(run({"advise", "robot2.json", "runs2.csv", "--json"}).out,
            run({"advise", "robot.json", "runs.csv", "--json"}).out);
  EXPECT_EQ(record({"export", "moves", "list"}).out, kMoves);
  const json table = json::parse(record({"export", "table", "trestle"}).out);
  EXPECT_EQ(table["edge_mm"], json::parse(kTable)["edge_mm"]);
  EXPECT_EQ(record({"export", "runs", "Dunlin", "--output", "out.csv"}).status, 0);
  EXPECT_EQ(read("out.csv"), read("runs2.csv"));
  EXPECT_EQ(document_of(record({"export", "runs", "Dunlin", "--json"}))["runs"].size(), 9U);
}

TEST_F(RecordFile, WholeSet_GoesIntoAnEmptyRecordAloneAndComesOutAlike) {
  fill();
  const std::string set = record({"export", "set"}).out;
  write("set.json", set);
  EXPECT_EQ(run({"record", "import", "set", "set.json", "--data", "copy.sqlite"}).status, 0);
  EXPECT_EQ(run({"record", "export", "set", "--data", "copy.sqlite", "--json"}).out, set);
  expect_refusal(run({"record", "import", "set", "set.json", "--data", "copy.sqlite"}), "",
                 {"empty"});
}

TEST_F(RecordFile, Lists_NameWhatIsInIt) {
  fill();
  const json all = document_of(record({"list", "--json"}));
  EXPECT_EQ(all["robots"][0]["name"], "Dunlin");
  EXPECT_EQ(all["robots"][0]["run_count"], 9);
  EXPECT_EQ(all["tables"][0]["name"], "trestle");
  EXPECT_EQ(all["move_lists"][0]["name"], "list");
  EXPECT_EQ(document_of(record({"list", "runs", "Dunlin", "--json"}))["runs"].size(), 9U);
  const json history = document_of(record({"list", "history", "--json"}))["changes"];
  ASSERT_EQ(history.size(), 4U);
  EXPECT_EQ(history[0]["who"], "Ada");
  EXPECT_NE(record({"list"}).out.find("1 robot, 1 table and 1 move list"), std::string::npos);
  EXPECT_NE(record({"list", "runs", "Dunlin"}).out.find("27 at 700 mm, 83 at 1400 mm"),
            std::string::npos);
  EXPECT_NE(record({"list", "history"}).out.find("Ada"), std::string::npos);
}

TEST_F(RecordFile, SameNameAgain_IsRefusedUnlessItReplaces) {
  fill();
  EXPECT_EQ(record({"import", "robot", "robot.json"}).status, 2);
  std::string wider(kRobot);
  wider.replace(wider.find("140"), 3, "150");
  write("robot.json", wider);
  write("list.moves", "drive 100 mm\n");
  EXPECT_EQ(record({"import", "robot", "robot.json", "--replace"}).status, 0);
  EXPECT_EQ(record({"import", "table", "table.json", "--replace"}).status, 0);
  EXPECT_EQ(record({"import", "moves", "list.moves", "--replace"}).status, 0);
  EXPECT_EQ(json::parse(record({"export", "robot", "Dunlin"}).out)["track_width_mm"], 150);
  EXPECT_EQ(record({"export", "moves", "list"}).out, "drive 100 mm\n");
  EXPECT_EQ(document_of(record({"list", "--json"}))["robots"][0]["run_count"], 9);
}

TEST_F(RecordFile, FaultyFile_ChangesNothingAndMakesNoRecord) {
  write("bad.csv", "kind,level\n");
  write("bad.json", "{");
  expect_refusal(record({"import", "robot", "bad.json"}), "bad.json:1:", {"expected"});
  expect_refusal(record({"import", "runs", "runs.csv", "--robot", "Dunlin"}), "set.sqlite:", {});
  expect_refusal(record({"list"}), "set.sqlite:", {});
  EXPECT_FALSE(is_there("set.sqlite"));
  fill();
  const std::string before = record({"export", "set"}).out;
  expect_refusal(record({"import", "runs", "bad.csv", "--robot", "Dunlin"}),
                 "bad.csv:1:", {"trim"});
  expect_refusal(record({"import", "runs", "runs.csv", "--robot", "Dunlim"}),
                 "set.sqlite:", {"Dunlim", "Dunlin"});
  expect_refusal(record({"export", "table", "trestel"}), "set.sqlite:", {"trestle"});
  EXPECT_EQ(record({"export", "set"}).out, before);
}

TEST_F(RecordFile, FileThatIsNoRecord_IsLeftAlone) {
  write("set.sqlite", "just some words");
  expect_refusal(record({"list"}), "set.sqlite:", {});
  expect_refusal(record({"import", "robot", "robot.json"}), "set.sqlite:", {});
  EXPECT_EQ(read("set.sqlite"), "just some words");
}

class Serve : public Bench {};

TEST_F(Serve, PrintsItsAddressAndEndsWhenTold) {
  // The shell prints the server's number first, then becomes it.
  std::FILE* said =
      ::popen("echo $$; exec " RUNTRUE_PROGRAM " serve --data s.sqlite --port 0", "r");
  ASSERT_NE(said, nullptr);
  char line[200] = "";
  ASSERT_NE(std::fgets(line, sizeof line, said), nullptr);
  const int server = std::atoi(line);
  ASSERT_GT(server, 1);
  EXPECT_NE(std::fgets(line, sizeof line, said), nullptr);
  EXPECT_TRUE(std::string(line).starts_with("Open http://localhost:")) << line;
  ::kill(server, SIGTERM);
  EXPECT_EQ(WEXITSTATUS(::pclose(said)), 0);
  EXPECT_TRUE(is_there("s.sqlite"));
}

TEST_F(Serve, RecordThatCannotBeOpened_IsTold) {
  expect_refusal(run({"serve", "--data", "no/where.sqlite", "--port", "0"}),
                 "no/where.sqlite:", {});
}

}  // namespace
}  // namespace runtrue
