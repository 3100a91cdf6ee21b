// The nearest list of presses, against all lists there are.
#include "moves/nearest_presses.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

namespace runtrue {
namespace {

Robot keyed_robot(int limit, double turn_deg = 90) {
  Robot robot = default_robot("Knot", Length::from_mm(140));
  robot.move_list_limit = limit;
  robot.press.turn = Angle::from_deg(turn_deg);
  return robot;
}

std::vector<FlatMove> moves_of_text(const char* text) { return *flatten(*parse_moves(text, "")); }

std::string words_of(const std::vector<Press>& presses) {
  std::string words;
  for (const Press p : presses) words += std::string(word_of(p)) + " ";
  return words;
}

// A second writing of the measure: places and end of a way given as arcs, an eighth of a step apart
// at most, and the discrete Fréchet distance by its recursion [Eit94].
struct Way {
  std::vector<Point> places{{}};
  Pose end;
  void go(const Arc& arc, double gap_mm) {
    const int n = static_cast<int>(std::ceil(std::abs(arc.length.mm()) / gap_mm));
    for (int i = 1; i <= n; ++i) {
      const Pose p = compose(end, pose_after(part_of(arc, static_cast<double>(i) / n)));
      places.push_back({p.x, p.y});
    }
    end = compose(end, pose_after(arc));
  }
};

double off_of(const Way& a, const Way& b, double step_mm) {
  const std::size_t n = a.places.size(), m = b.places.size();
  std::vector<double> off(n * m);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < m; ++j) {
      const double here =
          std::hypot((a.places[i].x - b.places[j].x).mm(), (a.places[i].y - b.places[j].y).mm());
      double before = i + j == 0 ? 0.0 : 1e300;
      if (i > 0) before = std::min(before, off[(i - 1) * m + j]);
      if (j > 0) before = std::min(before, off[i * m + j - 1]);
      if (i > 0 && j > 0) before = std::min(before, off[(i - 1) * m + j - 1]);
      off[i * m + j] = std::max(here, before);
    }
  }
  return std::max(off.back(), step_mm * std::abs((a.end.heading - b.end.heading).wrapped().rad()));
}

Way way_of(const std::vector<Press>& presses, const PressSize& size) {
  Way way;
  for (const Press p : presses) {
    Arc arc;
    if (p == Press::kForward) arc.length = size.step;
    if (p == Press::kBack) arc.length = -size.step;
    if (p == Press::kLeft) arc.turn = size.turn;
    if (p == Press::kRight) arc.turn = -size.turn;
    way.go(arc, size.step.mm() / 8);
  }
  return way;
}

// The least measure of all lists of up to `limit` presses, and the fewest presses that have it.
std::pair<double, int> least_of_all(const Way& wish, const Robot& robot) {
  std::pair<double, int> least{1e300, 0};
  std::vector<Press> presses;
  const auto look = [&](const auto& again) -> void {
    const double off = off_of(way_of(presses, robot.press), wish, robot.press.step.mm());
    const int count = static_cast<int>(presses.size());
    if (off < least.first - 1e-9 || (off < least.first + 1e-9 && count < least.second)) {
      least = {off, count};
    }
    if (count == robot.move_list_limit) return;
    for (const Press p : {Press::kForward, Press::kBack, Press::kLeft, Press::kRight}) {
      presses.push_back(p);
      again(again);
      presses.pop_back();
    }
  };
  look(look);
  return least;
}

TEST(NearestPresses, NoListWithinTheLimitIsNearer) {
  const struct {
    Arc first, second;
    const char* text;
  } wishes[] = {
      {{Length::from_mm(250), {}}, {}, "drive 250 mm"},
      {{Length::from_mm(130), {}}, {{}, Angle::from_deg(50)}, "drive 130 mm\nturn left 50 deg"},
      {{Length::from_mm(150 * 1.5707963267948966), Angle::from_deg(-90)},
       {},
       "bend right 90 deg radius 150 mm"},
      {{{}, Angle::from_deg(-140)},
       {Length::from_mm(-170), {}},
       "turn right 140 deg\nreverse 17 cm"},
      {{Length::from_mm(60), {}}, {Length::from_mm(-40), {}}, "drive 60 mm\nreverse 40 mm"},
      {{{}, Angle::from_deg(45)}, {Length::from_mm(200), {}}, "turn left 45 deg\ndrive 20 cm"},
  };
  for (const double turn_deg : {90.0, 60.0, 45.0, 50.0}) {
    for (const auto& w : wishes) {
      const Robot robot = keyed_robot(4, turn_deg);
      Way wish;
      for (const Arc& arc : {w.first, w.second}) wish.go(arc, robot.press.step.mm() / 8);
      const auto [least, count] = least_of_all(wish, robot);
      const auto nearest = nearest_presses(moves_of_text(w.text), robot);
      ASSERT_TRUE(nearest) << nearest.error().message;
      const double own = off_of(way_of(nearest->presses, robot.press), wish, 100.0);
      EXPECT_LE(own, least + kNearestTo_mm) << w.text << ", " << turn_deg << " deg";
      EXPECT_NEAR(nearest->farthest_off.mm(), least, 1.01 * kNearestTo_mm) << w.text;
      EXPECT_LE(static_cast<int>(nearest->presses.size()), count) << w.text;
    }
  }
}

TEST(NearestPresses, AListThatCanBeKeyed_IsItsOwnNearest) {
  const Robot robot = keyed_robot(20);
  const auto flat = moves_of_text("4 times\n drive 300 mm\n turn left 90 deg\nend\n");
  const auto exact = press_list(flat, robot);
  const auto nearest = nearest_presses(flat, robot);
  ASSERT_TRUE(exact && nearest);
  EXPECT_EQ(nearest->farthest_off.mm(), 0.0);
  EXPECT_EQ(words_of(nearest->presses), words_of(exact->presses));
}

TEST(NearestPresses, WithinATighterLimit_ComeAsNearAsTheyCan) {
  const auto flat = moves_of_text("drive 2 m\n");
  const auto nearest = nearest_presses(flat, keyed_robot(5));
  ASSERT_TRUE(nearest) << nearest.error().message;
  EXPECT_EQ(words_of(nearest->presses), "forward forward forward forward forward ");
  EXPECT_NEAR(nearest->farthest_off.mm(), 1500, 1.01 * kNearestTo_mm);
  EXPECT_NEAR(nearest->end_off.mm(), 1500, 1e-9);
}

TEST(NearestPresses, AMoveByTime_IsRefusedWithItsPlace) {
  const auto nearest = nearest_presses(moves_of_text("drive 10 cm\ndrive 2 s\n"), keyed_robot(5));
  ASSERT_FALSE(nearest);
  EXPECT_EQ(nearest.error().place.line, 2);
  EXPECT_EQ(nearest.error().message,
            "'drive 2 s' is a move by time, expected a length or an angle to come near to");
}

}  // namespace
}  // namespace runtrue
