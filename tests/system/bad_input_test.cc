// Every input that can't be used: status 2, nothing on standard output, one line on standard error
// that says where, what, and what was expected; and nothing half-written.
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "tests/system/program.h"

namespace runtrue {
namespace {

struct BadText {
  const char* name;
  std::string text;
  std::string place;              // "3:14:", "" where only the file is known
  std::vector<std::string> says;  // parts of the line
};

class BadFile : public Bench {
 protected:
  void refuse(const std::string& file, const std::vector<BadText>& table,
              const std::vector<std::string>& command) const {
    for (const BadText& bad : table) {
      SCOPED_TRACE(bad.name);
      write(file, bad.text);
      expect_refusal(run(command), file + ":" + bad.place, bad.says);
    }
  }
};

class Missing : public Bench {};
class Writing : public Bench {};
class Words : public Bench {};

const std::string kHead = "kind,level,trim,half_line_mm,half_sideways_mm,line_mm,sideways_mm\n";

TEST_F(BadFile, Runs_AreRefusedAtTheirCell) {
  refuse("bad.csv",
         {
             {"empty", "", "1:1:", {"expected"}},
             {"no header line", "straight,128,0,700,5,1400,9\n", "1:1:", {"expected"}},
             {"a column that is not there",
              "kind,level,trim,line_mm,sidways_mm\n",
              "1:25:",
              {"sidways_mm", "sideways_mm"}},
             {"a column that must be there", "kind,level,line_mm,sideways_mm\n", "1:", {"trim"}},
             {"text for a number",
              kHead + "straight,128,0,700,five,1400,9\n",
              "2:20:",
              {"five", "expected"}},
             {"not a number", kHead + "straight,128,0,700,nan,1400,9\n", "2:20:", {"nan"}},
             {"infinite", kHead + "straight,128,0,700,5,1400,inf\n", "2:27:", {"inf"}},
             {"a decimal comma between commas",
              kHead + "straight,128,0,700,5,1400,9,5\n",
              "2:",
              {"expected"}},
             {"trim outside its range",
              kHead + "straight,128,31,700,5,1400,9\n",
              "2:14:",
              {"trim", "31", "-30", "30"}},
             {"a run without any reading", kHead + "straight,128,0,,,,\n", "2:", {"expected"}},
             {"a level beyond the full one",
              kHead + "straight,256,0,700,5,1400,9\n",
              "2:10:",
              {"level", "256", "255"}},
             {"a line behind the mark", kHead + "straight,128,0,,,-1400,9\n", "2:", {"line_mm"}},
             {"too few cells", kHead + "straight,128,0\n", "2:", {"expected"}},
             {"not UTF-8", kHead + "straight,128,0,700,\xff,1400,9\n", "2:20:", {"UTF-8"}},
         },
         {"advise", "robot.json", "bad.csv", "--json"});
}

TEST_F(BadFile, Robots_AreRefusedAtTheirValue) {
  refuse("bad.json",
         {
             {"empty", "", "", {"expected"}},
             {"no width", R"({"name": "A", "trim_range": [-3, 3]})", "1:1:", {"track_width_mm"}},
             {"width below zero",
              "{\"name\": \"A\",\n \"track_width_mm\": -140,\n \"trim_range\": [-3, 3]}",
              "2:20:",
              {"track_width_mm", "-140", "expected"}},
             {"width zero",
              R"({"name": "A", "track_width_mm": 0, "trim_range": [-3, 3]})",
              "1:33:",
              {"track_width_mm"}},
             {"text for a number",
              R"({"name": "A", "track_width_mm": "140", "trim_range": [-3, 3]})",
              "1:33:",
              {"track_width_mm", "expected"}},
             {"NaN",
              R"({"name": "A", "track_width_mm": NaN, "trim_range": [-3, 3]})",
              "1:33:",
              {"expected"}},
             {"a misspelt key",
              R"({"name": "A", "track_widht_mm": 140, "trim_range": [-3, 3]})",
              "1:15:",
              {"track_widht_mm", "track_width_mm"}},
             {"not closed", "{\"name\": \"A\"", "1:", {"expected"}},
         },
         {"advise", "bad.json", "runs.csv", "--json"});
}

TEST_F(BadFile, Tables_AreRefusedAtTheirValue) {
  refuse(
      "bad.json",
      {
          {"empty", "", "", {"expected"}},
          {"crosses itself",
           R"({"name": "t", "edge_mm": [[0, 0], [1000, 1000], [1000, 0], [0, 1000]]})",
           "1:",
           {"edge_mm", "expected"}},
          {"two corners", R"({"name": "t", "edge_mm": [[0, 0], [1000, 1000]]})", "1:", {"edge_mm"}},
          {"an obstacle without size",
           R"({"name": "t", "edge_mm": [[0, 0], [900, 0], [900, 900]],
                  "obstacles": [{"name": "mug", "centre_mm": [300, 100], "radius_mm": 0}]})",
           "2:",
           {"radius_mm"}},
      },
      {"forecast", "robot.json", "runs.csv", "list.moves", "bad.json", "--start", "400,300,0"});
}

TEST_F(BadFile, MoveLists_ShowTheLineAndACaretBelowTheOneLine) {
  write("bad.moves", "drive 300 mm\ndrive ten cm\n");
  const Outcome outcome = run({"forecast", "robot.json", "runs.csv", "bad.moves", "table.json",
                               "--start", "400,300,0", "--json"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(outcome.err.starts_with("bad.moves:2:7: ")) << outcome.err;
  const std::string below = outcome.err.substr(outcome.err.find('\n') + 1);
  EXPECT_NE(below.find("drive ten cm\n"), std::string::npos) << below;
  EXPECT_NE(below.find('^'), std::string::npos) << below;
}

TEST_F(BadFile, ListThatNeverEnds_IsRefused) {
  write("bad.moves", "part a\n  do a\nend\ndo a\n");
  Outcome outcome = run({"press-list", "bad.moves", "robot.json"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_TRUE(outcome.err.starts_with("bad.moves:")) << outcome.err;
  write("bad.moves", "9999 times\n 9999 times\n  drive 1 cm\n end\nend\n");
  outcome = run({"press-list", "bad.moves", "robot.json"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_TRUE(outcome.err.starts_with("bad.moves:")) << outcome.err;
}

TEST_F(BadFile, MoveThatIsNoWholePress_IsRefusedAtItsPlace) {
  write("bad.moves", "drive 100 mm\n  drive 150 mm\n");
  const Outcome outcome = run({"press-list", "bad.moves", "robot.json", "--json"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_TRUE(outcome.err.starts_with("bad.moves:2:3: ")) << outcome.err;
}

TEST_F(BadFile, PathsAndPresses_AreRefusedAtTheirPlace) {
  refuse("bad.csv",
         {{"no points", "x_mm,y_mm\n", "", {"0 places"}},
          {"one place", "x_mm,y_mm\n1,1\n1,1\n", "", {"1 places"}},
          {"a letter", "x_mm,y_mm\n1,a\n", "2:3:", {"y_mm is 'a'"}},
          {"absurdly far", "x_mm,y_mm\n0,0\n1,9000000000\n", "", {"within 100 m"}}},
         {"moves", "from-path", "bad.csv", "--json"});
  refuse("bad.svg",
         {{"no line", "<svg/>", "", {"no line"}},
          {"two pieces", "<svg>\n<path d='M0 0L1 1M2 2'/></svg>", "2:1:", {"without lifting"}},
          {"cut off", "<svg><path", "1:", {"not well-formed"}}},
         {"moves", "from-path", "bad.svg"});
  refuse("bad.txt", {{"another word", "forward up\n", "1:9:", {"up", "forward"}}},
         {"moves", "from-presses", "bad.txt", "robot.json"});
  write("bad.moves", "drive 10 cm\ndrive 2 s\n");
  const Outcome timed = run({"press-list", "bad.moves", "robot.json", "--nearest"});
  EXPECT_EQ(timed.status, 2);
  EXPECT_TRUE(timed.err.starts_with("bad.moves:2:1: 'drive 2 s' is a move by time")) << timed.err;
}

TEST_F(BadFile, LevelBeyondTheRobots_IsRefusedAtItsPlace) {
  write("bad.moves", "at level 300\ndrive 100 mm\n");
  const Outcome outcome = run(
      {"forecast", "robot.json", "runs.csv", "bad.moves", "table.json", "--start", "400,300,0"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_TRUE(outcome.err.starts_with("bad.moves:")) << outcome.err;
}

TEST_F(BadFile, AMillionRowsWithAFaultAtTheEnd_AreReadToIt) {
  std::string text = kHead;
  for (int i = 0; i < 1'000'000; ++i) text += "straight,128,0,700,5,1400,9\n";
  write("long.csv", text + "straight,128,zero,700,5,1400,9\n");
  expect_refusal(run({"advise", "robot.json", "long.csv"}), "long.csv:1000002:14:", {"zero"});
}

TEST_F(BadFile, StartOffTheTable_IsRefused) {
  const Outcome outcome = run({"forecast", "robot.json", "runs.csv", "list.moves", "table.json",
                               "--start", "-400,300,0", "--json"});
  expect_refusal(outcome, "", {"start"});
}

// What looks odd and is good all the same.
TEST_F(BadFile, OddButGood_ReadsAsThePlainFile) {
  const std::string plain = run({"advise", "robot.json", "one.csv", "--json"}).out;
  const auto as = [this](const std::string& text) {
    write("odd.csv", text);
    return run({"advise", "robot.json", "odd.csv", "--json"}).out;
  };
  std::string one(kOneRun), lines, semicolons;
  for (const char c : one) {
    if (c == '\n') lines += '\r';
    lines += c;
    semicolons += c == ',' ? ';' : c;
  }
  EXPECT_EQ(as(lines), plain) << "lines ended by CR LF";
  EXPECT_EQ(as("\xEF\xBB\xBF" + one), plain) << "a byte order mark";
  EXPECT_EQ(as(semicolons), plain) << "semicolons";
  const auto at = semicolons.find(";27;");
  EXPECT_EQ(as(semicolons.replace(at, 4, ";27,0;")), plain) << "decimal commas between semicolons";
  std::string named(kRobot);
  named.replace(named.find("Dunlin"), 6, "Schnepfe № 3 – ¡é!");
  write("named.json", named);
  const Outcome outcome = run({"advise", "named.json", "runs.csv"});
  EXPECT_TRUE(outcome.out.starts_with("Schnepfe № 3 – ¡é! ")) << outcome.out << outcome.err;
}

TEST_F(Missing, FilesAreNamed) {
  expect_refusal(run({"advise", "no.json", "runs.csv"}), "no.json:", {});
  expect_refusal(run({"advise", "robot.json", "no.csv", "--json"}), "no.csv:", {});
  expect_refusal(run({"press-list", "no.moves", "robot.json"}), "no.moves:", {});
  std::filesystem::create_directory("folder");
  expect_refusal(run({"advise", "folder", "runs.csv"}), "folder:", {});
  expect_refusal(run({"advise", "", "runs.csv"}), "", {});
}

TEST_F(Writing, FailedOutputs_LeaveTheOldFileAndNothingBeside) {
  write("old.h", "old");
  write("old.svg", "old");
  write("bad.csv", "kind,level\n");
  const std::size_t files = file_count();
  expect_refusal(run({"settings", "robot.json", "bad.csv", "--header", "old.h"}), "bad.csv:", {});
  expect_refusal(run({"advise", "robot.json", "bad.csv", "--picture", "old.svg"}), "bad.csv:", {});
  expect_refusal(run({"settings", "robot.json", "runs.csv", "--header", "no/where.h", "--json"}),
                 "no/where.h:", {});
  expect_refusal(run({"advise", "robot.json", "runs.csv", "--picture", "no/where.svg"}),
                 "no/where.svg:", {"expected"});
  EXPECT_EQ(read("old.h"), "old");
  EXPECT_EQ(read("old.svg"), "old");
  std::filesystem::create_directory("folder.svg");
  std::filesystem::create_directory("folder.h");
  expect_refusal(run({"settings", "robot.json", "runs.csv", "--header", "folder.h"}),
                 "folder.h:", {});
  expect_refusal(run({"advise", "robot.json", "runs.csv", "--picture", "folder.svg"}),
                 "folder.svg:", {});
  EXPECT_EQ(file_count(), files + 2);
}

TEST_F(Writing, FaultyListPutInForm_KeepsItsFile) {
  write("bad.moves", "drive ten cm\n");
  EXPECT_EQ(run({"moves", "format", "bad.moves", "--write"}).status, 2);
  EXPECT_EQ(read("bad.moves"), "drive ten cm\n");
}

TEST_F(Writing, AnswerWithoutRoom_IsNotDone) {
  if (::access("/dev/full", W_OK) != 0) GTEST_SKIP() << "this system has no /dev/full";
  const Outcome outcome =
      run_program_at("/bin/sh", {"-c", "exec " RUNTRUE_PROGRAM " --version > /dev/full"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_TRUE(outcome.err.starts_with("standard output: ")) << outcome.err;
}

TEST_F(Words, FileNamedLikeACommand_IsAFile) {
  write("advise", kRobot);
  write("check", kMoves);
  EXPECT_EQ(run({"advise", "advise", "runs.csv"}).status, 0);
  EXPECT_EQ(run({"moves", "check", "check"}).status, 0);
  EXPECT_EQ(run({"press-list", "check", "advise"}).status, 0);
}

TEST_F(Words, WrongOnes_AreToldInOneLineWithWhatWasMeant) {
  const std::vector<std::pair<std::vector<std::string>, std::string>> table{
      {{"advice", "a", "b"}, "runtrue: there is no command 'advice', did you mean 'advise'?"},
      {{"moves", "chekc", "a"},
       "runtrue moves: there is no command 'chekc', did you mean 'check'?"},
      {{"advise", "a", "b", "--tolerence-mm-per-m", "5"},
       "runtrue advise: there is no option --tolerence-mm-per-m, did you mean "
       "'--tolerance-mm-per-m'?"},
      {{"moves"},
       "runtrue moves: the command is missing, expected check, format, from-presses or from-path"},
      {{"advise", "a"},
       "runtrue advise: RUNS.csv is missing, expected runtrue advise ROBOT.json RUNS.csv "
       "[options]"},
      {{"press-list", "a", "b", "c"},
       "runtrue press-list: 'c' is one too many, expected runtrue press-list MOVES ROBOT.json "
       "[options]"},
      {{"advise", "-", "-"},
       "runtrue advise: standard input (-) is named twice, it can be read once"},
      {{"advise", "a", "b", "--json", "--json"},
       "runtrue advise: --json is there twice, expected once"},
      {{"advise", "a", "b", "--json=yes"}, "runtrue advise: --json takes no value"},
      {{"forecast", "a", "b", "c", "d", "--start"},
       "runtrue forecast: --start is without its value, expected --start X,Y,DEG"},
      {{"forecast", "a", "b", "c", "d", "--start", "1,2"},
       "--start: '1,2', expected X,Y,DEG as in 400,200,90: place in mm and heading in degrees, "
       "counted counter-clockwise from x, with decimal points"},
      {{"forecast", "a", "b", "c", "d", "--start", "1,2,3", "--samples", "0"},
       "--samples: '0', expected a whole number from 1 to 10000000"},
      {{"forecast", "a", "b", "c", "d", "--start", "1,2,3", "--seed", "1e3"},
       "--seed: '1e3', expected a whole number from 0 to 18446744073709551615"},
      {{"advise", "a", "b", "--tolerance-mm-per-m", "-5"},
       "--tolerance-mm-per-m: -5 is out of range, expected more than 0 and at most 1000 mm in a "
       "metre"},
      {{"advise", "a", "b", "--tolerance-mm-per-m", "nan"},
       "--tolerance-mm-per-m: 'nan' is not a number"},
      {{"advise", "a", "b", "--picture", "p.gif"},
       "--picture: 'p.gif', expected a name that ends in .svg, .pdf or .png"},
      {{"serve", "--port", "70000"}, "--port: '70000', expected a whole number from 0 to 65535"},
      {{"record", "import", "robots", "a"},
       "WHAT: 'robots', expected set, robot, runs, table or moves, did you mean 'robot'?"},
      {{"record", "import", "runs", "a"},
       "--robot: is missing, expected --robot NAME: whose runs they are"},
      {{"record", "export", "robot"},
       "NAME: is missing, expected runtrue record export robot NAME"},
      {{"moves", "format", "-", "--write"},
       "--write: standard input can't be written back, expected a file's name"},
  };
  for (const auto& [words, line] : table) expect_one_line(run(words), line);
  expect_refusal(run({}), "runtrue: the command is missing, expected advise, ", {"serve or help"});
  expect_refusal(run({"frobnicate"}),
                 "runtrue: there is no command 'frobnicate', expected advise, ", {});
  expect_refusal(run({"--json", "advise", "a", "b"}), "runtrue: there is no option --json", {});
}

}  // namespace
}  // namespace runtrue
