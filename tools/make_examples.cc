// Makes the example set: examples/robots, examples/runs and examples/tables. Takes the folder to
// write into; the same program writes the same bytes on every machine.
//
// The robots are virtual ones with hidden motors, the readings those of the bench person of
// src/link, and every run is the one that the project's own advice names next. Each robot has a
// story (below). Its seed is the first, counted on from its first seed, with which that story
// comes out; examples/README.md says so too.
#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "files/robot_json.h"
#include "files/runs_csv.h"
#include "files/table_json.h"
#include "files/text_file.h"
#include "link/bench_person.h"
#include "link/virtual_robot.h"
#include "truing/truing.h"

namespace runtrue {
namespace {

enum class Story {
  kKnown,       // trued, and its distances and turns known: nothing is left to run
  kBegun,       // two runs made, more to make
  kSlipOfSide,  // known, but one run was noted to the wrong side
};

struct Member {
  const char* name;
  Story story;
  std::uint64_t first_seed;
};

constexpr Member kSet[] = {
    {"Dunlin", Story::kKnown, 1000},    {"Knot", Story::kKnown, 2000},
    {"Ruff", Story::kBegun, 3000},      {"Snipe", Story::kSlipOfSide, 4000},
    {"Turnstone", Story::kKnown, 5000}, {"Whimbrel", Story::kKnown, 6000},
};
constexpr int kSeedsTried = 1000;
constexpr std::size_t kMostStraights = 4;
constexpr std::size_t kMostRuns = 14;
constexpr std::size_t kRunsBegun = 2;
constexpr std::size_t kSlippedRun = 1;  // the second: the one with a reading well to one side

std::optional<NotedRun> make_run(VirtualRobot& robot, const BenchPerson& person,
                                 const NextRun& next, Rng& rng) {
  if (next.kind == RunKind::kTurn) {
    return run_turn(robot, person, next.level, next.trim, next.time, next.to_the_left, rng);
  }
  if (next.time > Duration()) {
    return run_timed(robot, person, next.level, next.trim, next.time, rng);
  }
  return run_two_lines(robot, person, next.level, next.trim, next.half_line, next.line, rng);
}

bool is_bend(const Run& run) { return run.kind == RunKind::kStraight && run.end.has_value(); }

// As one notes a run who takes left for right.
void swap_sides(Run& run) {
  for (auto* reading : {&run.half, &run.end}) {
    if (*reading) (*reading)->sideways = -(*reading)->sideways;
  }
}

struct Made {
  Robot robot;
  std::vector<Run> runs;
};

// The runs of that robot as its story goes; nothing where it doesn't come out with this seed.
std::optional<Made> made_with(const Member& member, std::uint64_t seed) {
  Rng rng(seed);
  VirtualRobotOptions options;
  options.name = member.name;
  VirtualRobot robot = draw_virtual_robot(rng, options);
  BenchPerson person;
  person.blunder_probability = 0.0;  // the one slip of the set is put in below
  Made made{robot.robot(), {}};
  const auto judged = [&] { return true_robot(made.robot, made.runs); };
  for (auto truing = judged(); truing && truing->next_run; truing = judged()) {
    if (member.story == Story::kBegun && made.runs.size() == kRunsBegun) break;
    if (made.runs.size() == kMostRuns) return std::nullopt;
    auto noted = make_run(robot, person, *truing->next_run, rng);
    robot.charge();
    if (!noted) return std::nullopt;
    Run& run = noted->run;
    run.surface = "hall floor";
    run.row = static_cast<int>(made.runs.size()) + 2;  // after the line of column names
    if (member.story == Story::kSlipOfSide && made.runs.size() == kSlippedRun) swap_sides(run);
    if (!check_run(run, made.robot)) return std::nullopt;
    made.runs.push_back(run);
  }
  const auto truing = judged();
  if (!truing) return std::nullopt;
  const std::size_t slips = member.story == Story::kSlipOfSide ? 1 : 0;
  const auto straights =
      static_cast<std::size_t>(std::count_if(made.runs.begin(), made.runs.end(), is_bend));
  const Verdict wanted = member.story == Story::kBegun ? Verdict::kMoreRuns : Verdict::kInTolerance;
  if (truing->verdict != wanted || truing->doubtful_runs.size() != slips ||
      straights > kMostStraights + slips) {
    return std::nullopt;
  }
  return made;
}

// A trestle table with a mug on it, the size of a folding bench top.
Table trestle() {
  Table table;
  table.name = "trestle";
  for (const auto& [x, y] : {std::pair{0, 0}, {1520, 0}, {1520, 760}, {0, 760}}) {
    table.edge.push_back({Length::from_mm(x), Length::from_mm(y)});
  }
  Obstacle mug;
  mug.name = "mug";
  mug.centre = Point{Length::from_mm(900), Length::from_mm(500)};
  mug.radius = Length::from_mm(45);
  table.obstacles.push_back(mug);
  return table;
}

std::string file_name(std::string name, const char* ending) {
  std::transform(name.begin(), name.end(), name.begin(), [](char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  });
  return name + ending;
}

Result<void> make_all(const std::string& folder) {
  for (const Member& member : kSet) {
    std::optional<Made> made;
    std::uint64_t seed = member.first_seed;
    for (; !made && seed < member.first_seed + kSeedsTried; ++seed) made = made_with(member, seed);
    if (!made) {
      return bad_input(
          fmt::format("{}: no seed from {} on makes its story", member.name, member.first_seed));
    }
    if (auto r = write_file(folder + "/robots/" + file_name(member.name, ".json"),
                            write_robot(made->robot));
        !r) {
      return r;
    }
    if (auto r =
            write_file(folder + "/runs/" + file_name(member.name, ".csv"), write_runs(made->runs));
        !r) {
      return r;
    }
    fmt::print("{}: seed {}, {} runs\n", member.name, seed - 1, made->runs.size());
  }
  return write_file(folder + "/tables/trestle.json", write_table(trestle()));
}

int main_of(const std::vector<std::string>& arguments) {
  if (arguments.size() != 1) {
    fmt::print(stderr, "usage: make_examples FOLDER\n");
    return 2;
  }
  std::error_code error;
  for (const char* part : {"/robots", "/runs", "/tables"}) {
    std::filesystem::create_directories(arguments[0] + part, error);
  }
  if (auto r = make_all(arguments[0]); !r) {
    fmt::print(stderr, "{}\n", r.error().one_line());
    return 2;
  }
  return 0;
}

}  // namespace
}  // namespace runtrue

int main(int count, char** words) {
  return runtrue::main_of(std::vector<std::string>(words + 1, words + count));
}
