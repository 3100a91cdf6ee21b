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
