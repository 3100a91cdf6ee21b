// Every example of docs/moves.md and every list of examples/lists does what is said of it.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "drive/pose.h"
#include "moves/compile.h"
#include "moves/internal/plain_settings.h"
#include "moves/press_list.h"

namespace runtrue {
namespace {

using moves_internal::plain_robot;
using moves_internal::plain_settings;

std::string file_text(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  EXPECT_TRUE(file) << path;
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

const std::filesystem::path kTree = RUNTRUE_SOURCE_DIR;

// A fenced block with the word behind its opening fence.
struct Fenced {
  std::string kind, text;
  int line = 0;
};

std::vector<Fenced> fenced_blocks(const std::string& page) {
  std::vector<Fenced> blocks;
  bool inside = false;
  std::istringstream lines(page);
  std::string line;
  for (int number = 1; std::getline(lines, line); ++number) {
    if (line.starts_with("```")) {
      if (!inside) blocks.push_back({line.substr(3), "", number});
      inside = !inside;
    } else if (inside) {
      blocks.back().text += line + "\n";
    }
  }
  EXPECT_FALSE(inside);
  return blocks;
}

// The compiled list as the page shows it, or the error.
std::string commands_text(const std::string& moves) {
  const auto list = parse_moves(moves, "");
  if (!list) return list.error().one_line() + "\n";
  const auto compiled = compile_moves(flatten(*list).value(), plain_robot(), plain_settings());
  if (!compiled) return compiled.error().one_line() + "\n";
  std::string text;
  for (const CompiledMove& move : *compiled) {
    text += fmt::format("left {} right {} for {} ms\n", move.command.left.value,
                        move.command.right.value, move.command.milliseconds);
  }
  return text;
}

std::string presses_text(const std::string& moves) {
  const auto presses = press_list(flatten(parse_moves(moves, "").value()).value(), plain_robot());
  if (!presses) return presses.error().one_line() + "\n";
  std::string text;
  for (const Press press : presses->presses) {
    text += (text.empty() ? "" : " ") + std::string(word_of(press));
  }
  return text + "\n";
}

// A block of moves stands alone, and then must compile, or is followed by what it comes to.
TEST(MovesPage, EveryExampleDoesWhatThePageSays) {
  const auto blocks = fenced_blocks(file_text(kTree / "docs/moves.md"));
  int alone = 0, compared = 0;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const std::string where = fmt::format("docs/moves.md:{}", blocks[i].line);
    if (blocks[i].kind != "moves") continue;
    const std::string next = i + 1 < blocks.size() ? blocks[i + 1].kind : "";
    if (next == "commands" || next == "error") {
      EXPECT_EQ(commands_text(blocks[i].text), blocks[i + 1].text) << where;
      ++compared;
    } else if (next == "presses") {
      EXPECT_EQ(presses_text(blocks[i].text), blocks[i + 1].text) << where;
      ++compared;
    } else {
      const auto list = parse_moves(blocks[i].text, where);
      ASSERT_TRUE(list) << list.error().one_line();
      EXPECT_TRUE(compile_moves(flatten(*list).value(), plain_robot(), plain_settings())) << where;
      ++alone;
    }
  }
  EXPECT_GE(alone, 4);
  EXPECT_GE(compared, 11);
}

TEST(MovesPage, EveryFenceIsOfAKindThatIsRead) {
  int grammars = 0;
  for (const Fenced& block : fenced_blocks(file_text(kTree / "docs/moves.md"))) {
    if (block.kind.empty())
      ++grammars;
    else
      EXPECT_TRUE(block.kind == "moves" || block.kind == "commands" || block.kind == "presses" ||
                  block.kind == "error")
          << block.line;
  }
  EXPECT_EQ(grammars, 1);
}

struct Example {
  const char* name;
  Pose start;
  bool keyed;  // whether it fits on the keys
};

Pose pose(double x_mm, double y_mm, double heading_deg) {
  return {Length::from_mm(x_mm), Length::from_mm(y_mm), Angle::from_deg(heading_deg)};
}

// Places along the path by exact arcs, ten a move; every move as asked, without rounding or chance.
std::vector<Pose> places(const std::string& text, const Pose& start) {
  const auto moves = flatten(parse_moves(text, "").value()).value();
  std::vector<Pose> path{start};
  const DriveSettings settings = plain_settings();
  const auto compiled = compile_moves(moves, plain_robot(), settings).value();
  for (const CompiledMove& move : compiled) {
    const Pose from = path.back();
    const Arc arc = arc_of(settings.mean, plain_robot(), move.command, settings.trim);
    for (int tenth = 1; tenth <= 10; ++tenth) {
      path.push_back(compose(from, pose_after(part_of(arc, tenth / 10.0))));
    }
  }
  return path;
}

const std::vector<Example> kExamples{
    {"there-and-back.moves", pose(200, 250, 0), true},
    {"round-the-mug.moves", pose(1000, 660, 180), true},
    {"flower.moves", pose(380, 380, 0), false},
};

TEST(ExampleLists, KeepTheOutlineOnTheTableAndClearOfTheMug) {
  constexpr double kOutline_mm = 95.0, kMug_mm = 45.0;  // radii
  for (const Example& example : kExamples) {
    for (const Pose& at :
         places(file_text(kTree / "examples/lists" / example.name), example.start)) {
      const double x = at.x.mm(), y = at.y.mm();
      EXPECT_GT(std::min({x, y, 1520.0 - x, 760.0 - y}), kOutline_mm) << example.name;
      EXPECT_GT(std::hypot(x - 900.0, y - 500.0), kOutline_mm + kMug_mm) << example.name;
    }
  }
}

TEST(ExampleLists, EndWhereTheirCommentsSay) {
  // Ten millimetres and two degrees: whole levels and milliseconds over up to 30 moves.
  const auto end = [](const Example& example) {
    return places(file_text(kTree / "examples/lists" / example.name), example.start).back();
  };
  for (const std::size_t back_at_start : {0U, 2U}) {
    const Example& example = kExamples[back_at_start];
    const Pose off = compose(inverse(example.start), end(example));
    EXPECT_LT(std::hypot(off.x.mm(), off.y.mm()), 10.0) << example.name;
    EXPECT_NEAR(off.heading.wrapped().deg(), 0.0, 2.0) << example.name;
  }
  EXPECT_NEAR(end(kExamples[1]).x.mm(), 1100.0, 10.0);
  EXPECT_NEAR(end(kExamples[1]).y.mm(), 560.0, 10.0);
}

TEST(ExampleLists, SayTheirStartAndAreAllNamedHere) {
  std::size_t found = 0;
  for (const auto& entry : std::filesystem::directory_iterator(kTree / "examples/lists")) {
    const std::string name = entry.path().filename();
    const auto example = std::find_if(kExamples.begin(), kExamples.end(),
                                      [&](const Example& e) { return e.name == name; });
    ASSERT_NE(example, kExamples.end()) << name;
    const std::string start =
        fmt::format("# Start: x {:g} mm, y {:g} mm, heading {:g} deg", example->start.x.mm(),
                    example->start.y.mm(), example->start.heading.deg());
    EXPECT_NE(file_text(entry.path()).find(start), std::string::npos) << name;
    ++found;
  }
  EXPECT_EQ(found, kExamples.size());
}

TEST(ExampleLists, FitTheKeysWhereTheyAreMadeOfStepsAndTurns) {
  for (const Example& example : kExamples) {
    const auto moves =
        flatten(parse_moves(file_text(kTree / "examples/lists" / example.name), "").value())
            .value();
    const auto presses = press_list(moves, plain_robot());
    EXPECT_EQ(presses && presses->fits(), example.keyed) << example.name;
  }
}

}  // namespace
}  // namespace runtrue
