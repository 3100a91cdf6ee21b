#include "moves/press_list.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>

#include "drive/pose.h"
#include "moves/internal/plain_settings.h"

namespace runtrue {
namespace {

using moves_internal::plain_robot;  // steps of 100 mm, turns of 90 deg, 20 presses

std::string words(const std::vector<Press>& presses) {
  std::string all;
  for (const Press press : presses) all += (all.empty() ? "" : " ") + std::string(word_of(press));
  return all;
}

std::vector<FlatMove> flat_moves(std::string_view text) {
  return flatten(parse_moves(text, "").value()).value();
}

std::string keyed(std::string_view text, const Robot& robot = plain_robot()) {
  const auto list = press_list(flat_moves(text), robot);
  return list ? words(list->presses) : list.error().one_line();
}

struct KeyedCase {
  std::string_view text;
  std::string_view answer;
};

TEST(PressList, WholeStepsAndTurnsBecomePresses) {
  for (const auto& [text, answer] : {
           KeyedCase{"drive 300 mm", "forward forward forward"},
           {"reverse 10 cm", "back"},
           {"turn left 90 deg", "left"},
           {"turn right 90 deg", "right"},
           {"turn left 180 deg", "left left"},
           {"drive 0.3 m\nturn right 90 deg\nreverse 0.1 m", "forward forward forward right back"},
           {"2 times\n  drive 100 mm\n  turn left 90 deg\nend", "forward left forward left"},
           {"", ""},
       }) {
    EXPECT_EQ(keyed(text), answer) << text;
  }
}

TEST(PressList, StepsAndTurnsOfThatRobotCount) {
  Robot robot = plain_robot();
  robot.press = {Length::from_mm(25.4), Angle::from_deg(45)};
  EXPECT_EQ(keyed("drive 3 in\nturn left 135 deg", robot),
            "forward forward forward left left left");
}

TEST(PressList, SaysWhichMoveHasNoPressesAndWhatWasExpected) {
  for (const auto& [text, answer] : {
           KeyedCase{"drive 100 mm\n  drive 250 mm",
                     "2:3: drive 250 mm is not a whole number of 100 mm steps"},
           {"drive 50 mm", "1:1: drive 50 mm is not a whole number of 100 mm steps"},
           {"reverse 130 mm", "1:1: reverse 130 mm is not a whole number of 100 mm steps"},
           {"turn left 45 deg", "1:1: turn left 45 deg is not a whole number of 90 deg turns"},
           {"drive 1.5 s",
            "1:1: 'drive 1.5 s' is a move by time, expected a length in 100 mm steps"},
           {"turn right 1 s",
            "1:1: 'turn right 1 s' is a move by time, expected an angle in 90 deg turns"},
           {"bend left 90 deg radius 150 mm",
            "1:1: no key drives 'bend left 90 deg radius 150 mm', expected steps and turns alone"},
           {"pause 1 s", "1:1: no key makes 'pause 1 s', expected steps and turns alone"},
           {"at level 160", "1:1: no key sets 'at level 160', expected steps and turns alone"},
       }) {
    EXPECT_EQ(keyed(text), answer) << text;
  }
}

TEST(PressList, EveryMoveWithoutPressesIsToldOnce) {
  const CheckedPresses checked = check_presses(
      flat_moves("5 times\n  drive 250 mm\n  drive 100 mm\nend\npause 1 s"), plain_robot());
  ASSERT_EQ(checked.faults.size(), 2U);
  EXPECT_EQ(checked.faults[0].place.line, 2);
  EXPECT_EQ(checked.faults[1].place.line, 5);
  EXPECT_EQ(checked.list.count(), 5);
}

TEST(PressList, HugeListsAreRefusedWithThePlace) {
  Robot robot = plain_robot();
  robot.press.step = Length::from_mm(1);
  EXPECT_EQ(keyed("drive 10 m\ndrive 1 mm", robot),
            "2:1: here the list grows beyond 10000 presses, expected at most that many");
  EXPECT_EQ(keyed("5000 times\n  drive 100 m\nend", robot),
            "2:3: here the list grows beyond 10000 presses, expected at most that many");
}

TEST(PressList, FitsWhereTheShortestListIsWithinTheLimit) {
  Robot robot = plain_robot();
  robot.move_list_limit = 4;
  const auto list = press_list(flat_moves("drive 300 mm\nturn left 270 deg"), robot).value();
  EXPECT_EQ(words(list.as_written), "forward forward forward left left left");
  EXPECT_EQ(words(list.presses), "forward forward forward right");
  EXPECT_EQ(list.count(), 4);
  EXPECT_EQ(list.limit, 4);
  EXPECT_TRUE(list.fits());
  robot.move_list_limit = 3;
  EXPECT_FALSE(press_list(flat_moves("drive 300 mm\nturn left 270 deg"), robot)->fits());
}

TEST(Shortest, MergesTurnsButNeverSteps) {
  for (const auto& [typed, answer] : {
           KeyedCase{"left left left left", ""},
           {"left left left", "right"},
           {"right right right", "left"},
           {"left right", ""},
           {"left left", "left left"},
           {"right right", "right right"},
           {"right left left left", "right right"},  // both ways equal: as the first went
           {"left left left left left", "left"},
           {"forward back", "forward back"},
           {"left forward right", "left forward right"},
           {"forward left left right left back", "forward left left back"},
       }) {
    EXPECT_EQ(words(shortest(parse_presses(typed, "").value(), PressSize{})), answer) << typed;
  }
}

TEST(Shortest, GoesByTheTurnOfThatRobot) {
  const auto with = [](double turn_deg, std::string_view typed) {
    return words(shortest(parse_presses(typed, "").value(),
                          {Length::from_mm(100), Angle::from_deg(turn_deg)}));
  };
  EXPECT_EQ(with(60, "left left left left"), "right right");
  EXPECT_EQ(with(120, "left left"), "right");
  EXPECT_EQ(with(144, "left left left"), "right right");  // five make two rounds
  EXPECT_EQ(with(100.1, "left left left left left"), "left left left left left");
  EXPECT_EQ(with(360, "left"), "");
}

TEST(ParsePresses, TakesWordsPartedByBlanksCommasOrLines) {
  const auto typed = parse_presses(
      "\xEF\xBB\xBF"
      "Forward, forward\r\nLEFT # round the mug, back\n\nback,right",
      "");
  EXPECT_EQ(words(typed.value()), "forward forward left back right");
  EXPECT_TRUE(parse_presses("", "")->empty());
}

TEST(ParsePresses, SaysWhereAndWhatWasExpected) {
  const auto said = [](std::string_view text) {
    return parse_presses(text, "p.txt").error().one_line();
  };
  EXPECT_EQ(said("left\nleft rihgt"), "p.txt:2:6: 'rihgt' is not a press; did you mean 'right'?");
  EXPECT_EQ(said("ü,jump"), "p.txt:1:1: 'ü' is not a press, expected forward, back, left or right");
  EXPECT_EQ(said("left \xFF"),
            "p.txt:1:6: the byte 0xFF is not UTF-8 text, expected a text file saved as UTF-8");
  std::string many;
  for (int i = 0; i <= kMostPresses; ++i) many += "left ";
  EXPECT_EQ(said(many),
            "p.txt:1:50001: here the list grows beyond 10000 presses, expected at most "
            "that many");
  EXPECT_EQ(said(std::string(1000000, '\n')),
            "p.txt:1:1: the text has 1000000 lines and 1000000 bytes, expected at most 20000 lines "
            "and 1048576 bytes");
}

TEST(MovesOf, WritesEqualNeighboursAsABlock) {
  const auto presses = parse_presses("forward forward left back", "").value();
  EXPECT_EQ(format_moves(moves_of(presses, PressSize{})),
            "2 times\n  drive 100 mm\nend\nturn left 90 deg\nreverse 100 mm\n");
}

std::vector<Press> any_presses() {
  return *rc::gen::container<std::vector<Press>>(
      rc::gen::element(Press::kForward, Press::kBack, Press::kLeft, Press::kRight));
}

RC_GTEST_PROP(MovesOf, KeyedAgainGivesTheSamePresses, ()) {
  const auto presses = any_presses();
  const MoveList list = moves_of(presses, plain_robot().press);
  const auto again = press_list(flatten(list).value(), plain_robot());
  RC_ASSERT(again.has_value());
  RC_ASSERT(again->as_written == presses);
  RC_ASSERT(parse_presses(words(presses), "").value() == presses);
}

// The path as poses where a step ends.
std::vector<Pose> path_of(const std::vector<Press>& presses, const PressSize& size) {
  std::vector<Pose> path{Pose{}};
  Pose at;
  for (const Press press : presses) {
    Arc arc;
    if (press == Press::kForward) arc.length = size.step;
    if (press == Press::kBack) arc.length = -size.step;
    if (press == Press::kLeft) arc.turn = size.turn;
    if (press == Press::kRight) arc.turn = -size.turn;
    at = compose(at, pose_after(arc));
    if (arc.length != Length()) path.push_back(at);
  }
  path.push_back(at);
  return path;
}

RC_GTEST_PROP(Shortest, DrivesTheSamePathWithNoMorePressesAndCannotBeShortenedAgain, ()) {
  const auto presses = any_presses();
  PressSize size;
  size.turn = Angle::from_deg(*rc::gen::element(30, 45, 72, 90, 120, 144, 7));
  const auto shorter = shortest(presses, size);
  RC_ASSERT(shorter.size() <= presses.size());
  RC_ASSERT(shortest(shorter, size) == shorter);
  const auto path = path_of(presses, size), other = path_of(shorter, size);
  RC_ASSERT(path.size() == other.size());
  // Up to a few hundred compositions at up to 1e4 mm: well below a thousandth of a millimetre.
  constexpr double kComposed_mm = 1e-6;
  for (std::size_t i = 0; i < path.size(); ++i) {
    RC_ASSERT(std::abs((path[i].x - other[i].x).mm()) < kComposed_mm);
    RC_ASSERT(std::abs((path[i].y - other[i].y).mm()) < kComposed_mm);
    RC_ASSERT(std::abs((path[i].heading - other[i].heading).wrapped().rad()) < kComposed_mm);
  }
}

// Carried out they make one list into the other, and no fewer would: what stays is the longest list
// that both hold in order, found here by trying every part of the first.
RC_GTEST_PROP(ChangesBetween, MakeOneListIntoTheOtherWithTheFewest, ()) {
  const auto presses = [] {
    std::vector<Press> list;
    const int n = *rc::gen::inRange(0, 8);
    for (int i = 0; i < n; ++i) list.push_back(static_cast<Press>(*rc::gen::inRange(0, 3)));
    return list;
  };
  const std::vector<Press> from = presses(), to = presses();
  std::vector<Press> before, after;
  std::size_t kept = 0;
  for (const PressChange& change : changes_between(from, to)) {
    if (change.what != PressChange::What::kAdd) before.push_back(change.press);
    if (change.what != PressChange::What::kDrop) after.push_back(change.press);
    kept += change.what == PressChange::What::kKeep ? 1U : 0U;
  }
  RC_ASSERT(before == from);
  RC_ASSERT(after == to);
  std::size_t longest = 0;
  for (unsigned part = 0; part < 1u << from.size(); ++part) {
    std::size_t met = 0, size = 0;
    bool there = true;
    for (std::size_t i = 0; i < from.size() && there; ++i) {
      if (((part >> i) & 1u) == 0) continue;
      ++size;
      while (met < to.size() && to[met] != from[i]) ++met;
      there = met++ < to.size();
    }
    if (there) longest = std::max(longest, size);
  }
  RC_ASSERT(kept == longest);
}

}  // namespace
}  // namespace runtrue
