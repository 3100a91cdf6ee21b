// Practising: in the terminal, and with the real program loading a practice robot over its line.
#include "link/practice.h"

#include <cmath>

#include "files/robot_json.h"
#include "files/runs_csv.h"
#include "tests/system/program.h"

namespace runtrue {
namespace {

class Practising : public Bench {};

TEST_F(Practising, Script_IsAnsweredLineByLineAndScoredAtItsEnd) {
  const std::string script =
      "trim 10\nstraight\nnote 2 3\n# by the key\nleft 0.7 s\nforget\nruns\n"
      "moves drive 300 mm; turn left 90 deg\ngo\npress forward, left\ngo\nclear\n"
      "hold bend-left 0.8 s\ncharge\nlevel 140\nlines 500 1000\nstraight\nhelp\nscore\nend\nrun\n";
  const Outcome words = run({"practice", "--seed", "3"}, script);
  EXPECT_EQ(words.err, "");
  EXPECT_EQ(words.out.find("`help` lists what can be typed") != std::string::npos, true);
  for (const char* said : {"The tape shows", "It came", "By its settings it was to stand",
                           "after the key was let go", "No run is noted yet", "best whole trim"}) {
    EXPECT_NE(words.out.find(said), std::string::npos) << said << "\n" << words.out;
  }
  const Outcome one = run({"practice", "--seed", "3", "--json"}, script);
  const auto document = document_of(one);
  EXPECT_EQ(document["trim"], 10);
  EXPECT_EQ(document["in_tolerance"], one.status == 0);
  EXPECT_EQ(document["in_tolerance"], std::abs(document["drift_mm_per_m"].get<double>()) <= 10.0);
  EXPECT_EQ(run({"practice", "--seed", "3", "--json"}, script).out, one.out);
}

TEST_F(Practising, LinesThatCantBeUsed_AreNamedByTheirPlace) {
  const struct {
    const char *script, *line;
    std::vector<std::string> says;
  } table[] = {
      {"strait\n", "-:1: 'strait'", {"did you mean 'straight'?"}},
      {"trim 5\ntrim 31\n", "-:2: '31'", {"from -30 to 30"}},
      {"level 0\n", "-:1: '0'", {"expected a level"}},
      {"level 1e2\n", "-:1: '1e2'", {"from -255 to 255"}},
      {"lines 600\n", "-:1:", {"expected"}},
      {"lines 900 600\n", "-:1: '900 600'", {"behind it"}},
      {"left 90\n", "-:1: '90'", {"0.05 to 60 s"}},
      {"note 1 2\n", "-:1: there is no run to note", {}},
      {"straight\nnote 12\n", "-:2: '12', expected two numbers", {"`note "}},
      {"straight\nnote 12 x\n", "-:2:", {"x"}},
      {"straight\nnote 12 5000\n", "-:2:", {"5000"}},
      {"forget\n", "-:1: no run is noted", {}},
      {"moves drive 30 parsec\n", "-:1:", {"parsec"}},
      {"press up\n", "-:1:", {"up"}},
      {"go\n", "-:1: nothing runs: it was not loaded yet", {}},
      {"hold up 1 s\n", "-:1: 'up'", {"bend-left"}},
      {"hold drive\n", "-:1:", {"expected"}},
      {"run now\n", "-:1: 'now' is one too many", {}},
  };
  for (const auto& bad : table) {
    SCOPED_TRACE(bad.script);
    expect_refusal(run({"practice", "--json"}, bad.script), bad.line, bad.says);
  }
}

// A lead loads three trials at a time, makes them, types what the tape shows, and asks again.
TEST_F(Practising, ScriptedLead_TruesARobotThroughTheRealProgramAndLink) {
  PracticeOptions options;
  options.seed = 11;
  const auto practice = Practice::begin(options).value();
  write("whimbrel.json", write_robot(practice->robot()));
  std::vector<runtrue::Run> noted;
  write("whimbrel.csv", write_runs(noted));
  Outcome advised;
  for (int evening = 0; evening < 4; ++evening) {
    const Outcome loaded = run({"load", "whimbrel.json", "whimbrel.csv", "--trials", "3", "--port",
                                practice->port(), "--json"});
    ASSERT_EQ(loaded.status, 0) << loaded.err;
    const auto document = document_of(loaded);
    for (const auto& trial : document["trials"]) {
      NextRun asked;
      asked.level = Level{trial["level"].get<int>()};
      asked.trim = Trim{trial["trim"].get<int>()};
      if (trial["kind"] == "turn") {
        asked.kind = RunKind::kTurn;
        asked.time = Duration::from_s(trial["seconds"].get<double>());
        asked.to_the_left = trial["direction"] == "left";
      } else if (trial.contains("seconds")) {
        asked.time = Duration::from_s(trial["seconds"].get<double>());
      } else {
        asked.half_line = Length::from_mm(trial["half_line_mm"].get<double>());
        asked.line = Length::from_mm(trial["line_mm"].get<double>());
      }
      practice->charge();
      const auto made = practice->go();
      ASSERT_TRUE(made) << made.error().one_line();
      if (const auto read = practice->read(*made, asked)) noted.push_back(*read);
    }
    write("whimbrel.csv", write_runs(noted));
    advised = run({"advise", "whimbrel.json", "whimbrel.csv", "--json"});
    if (advised.status == 0) break;
  }
  EXPECT_EQ(advised.status, 0) << advised.out;
  ASSERT_EQ(run({"load", "whimbrel.json", "whimbrel.csv", "--port", practice->port()}).status, 0);
  const Trim best{document_of(advised)["best_trim"].get<int>()};
  DriveSettings settings = true_robot(practice->robot(), noted).value().settings;
  EXPECT_EQ(settings.trim.value, best.value);
  EXPECT_LE(std::abs(practice->score(settings).drift_mm_per_m), kTrued_mm_per_m);
}

}  // namespace
}  // namespace runtrue
