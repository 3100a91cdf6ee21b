// What makes a table, and what is wrong with one that isn't, in words for a person.
#include "forecast/table.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <ostream>
#include <string>

#include "forecast/internal/test_scene.h"

namespace runtrue {
namespace {

using internal::at_mm;
using internal::trestle;

struct BadTable {
  std::string name;
  std::vector<Point> edge;
  std::vector<Obstacle> obstacles;
  std::string message;
};

std::ostream& operator<<(std::ostream& out, const BadTable& t) { return out << t.name; }

Obstacle round(double x, double y, double radius) {
  return {"mug", at_mm(x, y), Length::from_mm(radius), {}};
}

Obstacle box(std::vector<Point> corners) { return {"box", {}, {}, std::move(corners)}; }

const std::vector<Point> kSquare{at_mm(0, 0), at_mm(500, 0), at_mm(500, 500), at_mm(0, 500)};
const double kNan = std::nan("");

const std::vector<BadTable>& bad_tables() {
  static const std::vector<BadTable> kTables{
      {"NoCorners", {}, {}, "edge_mm has 0 corners, expected 3 to 2000"},
      {"TwoCorners", {at_mm(0, 0), at_mm(500, 0)}, {}, "edge_mm has 2 corners, expected 3 to 2000"},
      {"TooManyCorners",
       std::vector<Point>(2001, at_mm(0, 0)),
       {},
       "edge_mm has 2001 corners, expected 3 to 2000"},
      {"NotANumber",
       {at_mm(0, 0), at_mm(kNan, 0), at_mm(500, 500)},
       {},
       "edge_mm[1] is [nan, 0], expected numbers within 100 m of the origin"},
      {"Endless",
       {at_mm(0, 0), at_mm(500, 0), at_mm(500, std::numeric_limits<double>::infinity())},
       {},
       "edge_mm[2] is [500, inf], expected numbers within 100 m of the origin"},
      {"FartherThanAHundredMetres",
       {at_mm(0, 0), at_mm(100'001, 0), at_mm(500, 500)},
       {},
       "edge_mm[1] is [100001, 0], expected numbers within 100 m of the origin"},
      {"CornerTwice",
       {at_mm(0, 0), at_mm(500, 0), at_mm(500, 0), at_mm(0, 500)},
       {},
       "edge_mm[2] is the corner [500, 0] again, expected every corner once"},
      {"FirstCornerRepeatedAtTheEnd",
       {at_mm(0, 0), at_mm(500, 0), at_mm(500, 500), at_mm(0, 0)},
       {},
       "edge_mm[0] is the corner [0, 0] again, expected every corner once"},
      {"BowTie",
       {at_mm(0, 0), at_mm(500, 500), at_mm(500, 0), at_mm(0, 500)},
       {},
       "edge_mm crosses or touches itself: side 1, [0, 0] to [500, 500], meets side 3, [500, 0] to "
       "[0, 500]; expected sides that meet at corners alone"},
      {"CornerOnASide",
       {at_mm(0, 0), at_mm(500, 0), at_mm(500, 500), at_mm(250, 0), at_mm(0, 500)},
       {},
       "edge_mm crosses or touches itself: side 1, [0, 0] to [500, 0], meets side 3, [500, 500] to "
       "[250, 0]; expected sides that meet at corners alone"},
      {"CornerOnACorner",
       {at_mm(0, 0), at_mm(500, 0), at_mm(250, 250), at_mm(500, 500), at_mm(0, 500),
        at_mm(250, 250)},
       {},
       "edge_mm crosses or touches itself: side 2, [500, 0] to [250, 250], meets side 5, [0, 500] "
       "to [250, 250]; expected sides that meet at corners alone"},
      {"SideThatRunsBack",
       {at_mm(0, 0), at_mm(500, 0), at_mm(200, 0), at_mm(200, 500)},
       {},
       "edge_mm crosses or touches itself: side 2, [500, 0] to [200, 0], runs back along side 1, "
       "[0, 0] to [500, 0]; expected sides that meet at corners alone"},
      {"AllOnOneLine",
       {at_mm(0, 0), at_mm(500, 0), at_mm(1000, 0)},
       {},
       "edge_mm crosses or touches itself: side 3, [1000, 0] to [0, 0], runs back along side 2, "
       "[500, 0] to [1000, 0]; expected sides that meet at corners alone"},
      {"TypedInCentimetres",
       {at_mm(0, 0), at_mm(152, 0), at_mm(152, 65), at_mm(0, 65)},
       {},
       "edge_mm encloses 98.8 cm², expected at least 100 cm² (typed in centimetres?)"},
      {"ObstacleWithoutSize",
       kSquare,
       {round(100, 100, 0)},
       "obstacles[0].radius_mm is 0, expected more than 0 and at most 100 m"},
      {"ObstacleTurnedInsideOut",
       kSquare,
       {round(100, 100, 20), round(100, 100, -5)},
       "obstacles[1].radius_mm is -5, expected more than 0 and at most 100 m"},
      {"ObstacleNowhere",
       kSquare,
       {round(kNan, 100, 20)},
       "obstacles[0].centre_mm is [nan, 100], expected numbers within 100 m of the origin"},
      {"ObstacleWithoutShape",
       kSquare,
       {box({})},
       "obstacles[0] (box) has neither centre_mm nor polygon_mm, expected one of them"},
      {"ObstacleWithTwoCorners",
       kSquare,
       {box({at_mm(1, 1), at_mm(2, 2)})},
       "obstacles[0].polygon_mm has 2 corners, expected 3 to 2000"},
      {"ObstacleThatCrossesItself",
       kSquare,
       {box({at_mm(0, 0), at_mm(50, 50), at_mm(50, 0), at_mm(0, 50)})},
       "obstacles[0].polygon_mm crosses or touches itself: side 1, [0, 0] to [50, 50], meets side "
       "3, [50, 0] to [0, 50]; expected sides that meet at corners alone"},
      {"TooManyObstacles", kSquare, std::vector<Obstacle>(501, round(1, 1, 1)),
       "obstacles has 501 entries, expected at most 500"},
  };
  return kTables;
}

class BadTableTest : public testing::TestWithParam<BadTable> {};

TEST_P(BadTableTest, IsRefusedInOneSentence) {
  Table table;
  table.edge = GetParam().edge;
  table.obstacles = GetParam().obstacles;
  const auto r = check_table(table);
  ASSERT_FALSE(r);
  EXPECT_EQ(r.error().kind, ErrorKind::kBadInput);
  EXPECT_EQ(r.error().message, GetParam().message);
}

INSTANTIATE_TEST_SUITE_P(Table, BadTableTest, testing::ValuesIn(bad_tables()),
                         [](const auto& bad) { return bad.param.name; });

TEST(Table, EitherWayRound_IsFine) {
  Table table = trestle();
  EXPECT_TRUE(check_table(table));
  std::reverse(table.edge.begin(), table.edge.end());
  EXPECT_TRUE(check_table(table));
}

TEST(Table, CornersInALineAndNotches_AreFine) {
  Table table;
  table.edge = {at_mm(0, 0),     at_mm(250, 0),   at_mm(500, 0),   at_mm(500, 500), at_mm(300, 500),
                at_mm(300, 200), at_mm(200, 200), at_mm(200, 500), at_mm(0, 500)};
  EXPECT_TRUE(check_table(table));
}

TEST(Table, WithOddSidesTopsAndHoles_IsCheckedInOneSentence) {
  const auto message = [](auto change) {
    Table table = trestle();
    change(table);
    const auto r = check_table(table);
    return r ? std::string() : r.error().message;
  };
  const std::vector<Point> hole{at_mm(100, 100), at_mm(200, 100), at_mm(150, 200)};
  EXPECT_EQ(message([&](Table& t) {
              t.odd_sides = {0, 3};
              t.more_edges = {{at_mm(1520, 0), at_mm(1800, 0), at_mm(1800, 300)}};
              t.holes = {{"cable", hole}};
            }),
            "");
  EXPECT_EQ(
      message([](Table& t) { t.odd_sides = {4}; }),
      "odd_sides names side 4, expected 0 to 3: side 0 runs from the first corner of edge_mm to "
      "the second");
  EXPECT_EQ(message([](Table& t) {
              t.odd_sides = {1, 1};
            }),
            "odd_sides names side 1 twice, expected it once");
  EXPECT_EQ(message([](Table& t) { t.more_edges = {{at_mm(0, 0)}}; }),
            "more_edges_mm[0] has 1 corners, expected 3 to 2000");
  EXPECT_EQ(message([&](Table& t) {
              t.holes = {{"", {at_mm(-9, 9), at_mm(9, 9), at_mm(9, 20)}}};
            }),
            "holes[0].polygon_mm leaves the table or touches its edge, expected a hole within one "
            "table top");
  EXPECT_EQ(message([&](Table& t) {
              t.holes = {{"", hole}, {"", hole}};
            }),
            "holes[1].polygon_mm meets holes[0], expected holes apart");
}

// Two tops of 600 by 400 side by side: the shared side is no edge, and odd sides stay with theirs
// whichever way round the first top was written.
TEST(Table, SidesOfJoinedTops_AreThoseAroundThem) {
  for (const bool reversed : {false, true}) {
    Table table;
    table.edge = {at_mm(0, 0), at_mm(600, 0), at_mm(600, 400), at_mm(0, 400)};
    table.odd_sides = {3};
    if (reversed) {
      std::reverse(table.edge.begin(), table.edge.end());
      table.odd_sides = {3};  // from the last corner, (0, 0), to the first, (0, 400)
    }
    table.more_edges = {{at_mm(600, 0), at_mm(1200, 0), at_mm(1200, 400), at_mm(600, 400)}};
    double round = 0.0, walled = 0.0;
    for (const TableSide& side : sides_of(table)) {
      const double mm = std::hypot((side.to.x - side.from.x).mm(), (side.to.y - side.from.y).mm());
      round += mm;
      if (side.walled) {
        walled += mm;
        EXPECT_EQ(side.from.x.mm() + side.to.x.mm(), 0.0);
      }
      EXPECT_FALSE(side.from.x.mm() == 600 && side.to.x.mm() == 600);
    }
    EXPECT_NEAR(round, 2 * 1200 + 2 * 400, 1e-9);
    EXPECT_NEAR(walled, 400, 1e-9);
  }
}

TEST(Table, WithBothKindsOfObstacle_IsFine) {
  Table table = trestle();
  table.obstacles = {round(900, 500, 45),
                     box({at_mm(100, 600), at_mm(200, 600), at_mm(200, 700), at_mm(100, 700)})};
  EXPECT_TRUE(check_table(table));
}

TEST(Table, WithAnObstacleOfBothShapes_IsRefused) {
  Table table = trestle();
  table.obstacles = {round(900, 500, 45)};
  table.obstacles[0].polygon = kSquare;
  const auto r = check_table(table);
  ASSERT_FALSE(r);
  EXPECT_EQ(r.error().message,
            "obstacles[0] (mug) has both centre_mm and polygon_mm, expected one of them");
}

}  // namespace
}  // namespace runtrue
