#include "tests/system/program.h"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <iterator>

extern char** environ;

namespace runtrue {
namespace fs = std::filesystem;
namespace {

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void put_text(const fs::path& path, std::string_view text) {
  std::ofstream file(path, std::ios::binary);
  file.write(text.data(), static_cast<std::streamsize>(text.size()));
}

fs::path new_folder() {
  std::string pattern = (fs::temp_directory_path() / "runtrue-system-XXXXXX").string();
  if (::mkdtemp(pattern.data()) == nullptr) std::abort();
  return pattern;
}

}  // namespace

const char* const kRobot = R"({"name": "Dunlin", "track_width_mm": 140, "trim_range": [-30, 30],
 "wheel_diameter_mm": 65, "level_full": 255, "level_usual": 128, "move_list_limit": 12,
 "press": {"step_mm": 100, "turn_deg": 90}}
)";

const char* const kRuns =
    "kind,level,trim,seconds,half_line_mm,half_sideways_mm,line_mm,sideways_mm,distance_mm,turned_"
    "deg,battery_v,surface,left_out,note\n"
    "straight,128,0,,700,27,1400,83,,,,,,first\n"
    "straight,128,-4,,700,-4,1400,-4,,,,,,\n"
    "straight,128,-5,,700,2,1400,1,,,,,,\n"
    "straight,128,-5,,700,-3,1400,-9,,,,,,\n"
    "straight,128,-4,,700,5,1400,15,,,,,,\n"
    "straight,128,-5,3,,,,,1210,,,,,\n"
    "straight,128,-5,1.5,,,,,590,,,,,\n"
    "turn,128,-5,1.2,,,,,,178,,,,\n"
    "turn,128,-5,1.2,,,,,,-176,,,,\n";

const char* const kOneRun =
    "kind,level,trim,half_line_mm,half_sideways_mm,line_mm,sideways_mm\n"
    "straight,128,0,700,27,1400,83\n";

const char* const kMoves = "drive 300 mm  # along the edge\nturn left 90 deg\ndrive 20 cm\n";

const char* const kTable = R"({"name": "trestle",
 "edge_mm": [[0, 0], [1520, 0], [1520, 760], [0, 760]],
 "obstacles": [{"name": "mug", "centre_mm": [1300, 600], "radius_mm": 45}]}
)";

Outcome run_program_at(const std::string& path, const std::vector<std::string>& words,
                       std::string_view input) {
  const fs::path folder = new_folder();
  put_text(folder / "in", input);
  posix_spawn_file_actions_t files;
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_addopen(&files, 0, (folder / "in").c_str(), O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&files, 1, (folder / "out").c_str(), O_WRONLY | O_CREAT, 0600);
  posix_spawn_file_actions_addopen(&files, 2, (folder / "err").c_str(), O_WRONLY | O_CREAT, 0600);
  std::vector<std::string> all{path};
  all.insert(all.end(), words.begin(), words.end());
  std::vector<char*> pointers;
  for (std::string& word : all) pointers.push_back(word.data());
  pointers.push_back(nullptr);
  Outcome outcome;
  pid_t child = 0;
  int status = 0;
  if (::posix_spawn(&child, path.c_str(), &files, nullptr, pointers.data(), environ) == 0 &&
      ::waitpid(child, &status, 0) == child) {
    outcome.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  }
  posix_spawn_file_actions_destroy(&files);
  outcome.out = text_of(folder / "out");
  outcome.err = text_of(folder / "err");
  fs::remove_all(folder);
  return outcome;
}

nlohmann::json document_of(const Outcome& outcome) {
  nlohmann::json document = nlohmann::json::parse(outcome.out, nullptr, false);
  EXPECT_FALSE(document.is_discarded()) << "no JSON: " << outcome.out << outcome.err;
  return document.is_discarded() ? nlohmann::json() : document;
}

Bench::Bench() : folder_(new_folder()) {
  fs::current_path(folder_);
  write("robot.json", kRobot);
  write("runs.csv", kRuns);
  write("one.csv", kOneRun);
  write("list.moves", kMoves);
  write("table.json", kTable);
}

Bench::~Bench() {
  std::error_code error;
  fs::current_path(fs::temp_directory_path(), error);
  fs::remove_all(folder_, error);
}

Outcome Bench::run(const std::vector<std::string>& words, std::string_view input) const {
  return run_program_at(RUNTRUE_PROGRAM, words, input);
}

void Bench::write(const std::string& name, std::string_view text) const {
  put_text(folder_ / name, text);
}

std::string Bench::read(const std::string& name) const { return text_of(folder_ / name); }

bool Bench::is_there(const std::string& name) const { return fs::exists(folder_ / name); }

std::size_t Bench::file_count() const {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
}

void expect_one_line(const Outcome& outcome, const std::string& line) {
  EXPECT_EQ(outcome.status, 2) << outcome.out << outcome.err;
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(outcome.err, line + "\n");
}

void expect_refusal(const Outcome& outcome, const std::string& begins,
                    const std::vector<std::string>& says) {
  EXPECT_EQ(outcome.status, 2) << outcome.out << outcome.err;
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(outcome.err.starts_with(begins)) << outcome.err << "expected " << begins;
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
  EXPECT_TRUE(outcome.err.ends_with('\n'));
  for (const std::string& word : says) {
    EXPECT_NE(outcome.err.find(word), std::string::npos) << outcome.err << "expected " << word;
  }
}

}  // namespace runtrue
