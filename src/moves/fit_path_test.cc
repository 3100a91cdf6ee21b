// Fitting a list of moves to a path, against every choice of corners there is.
#include "moves/fit_path.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <variant>

namespace runtrue {
namespace {

Point at_mm(double x, double y) { return {Length::from_mm(x), Length::from_mm(y)}; }

double apart(const Point& a, const Point& b) {
  return std::hypot((a.x - b.x).mm(), (a.y - b.y).mm());
}

// Distance to the straight line between two points, by the triangle's height or the nearer end.
double to_line(const Point& p, const Point& a, const Point& b) {
  const double pa = apart(p, a), pb = apart(p, b), ab = apart(a, b);
  if (ab == 0.0 || pa * pa >= pb * pb + ab * ab) return std::min(pa, pb);
  if (pb * pb >= pa * pa + ab * ab) return pa;
  const double twice =
      std::abs(((b.x - a.x).mm()) * ((p.y - a.y).mm()) - ((b.y - a.y).mm()) * ((p.x - a.x).mm()));
  return twice / ab;
}

// Where the moves lead, one place a drive.
std::vector<Point> stops_of(const FittedPath& fitted) {
  std::vector<Point> stops(1, Point{fitted.start.x, fitted.start.y});
  Pose at = fitted.start;
  const std::vector<FlatMove> moves = *flatten(fitted.moves);
  for (const FlatMove& flat : moves) {
    if (const auto* drive = std::get_if<DriveMove>(&flat.move)) {
      at = compose(at, pose_after({*drive->extent.length, Angle()}));
      stops.push_back({at.x, at.y});
    } else {
      const auto& turn = std::get<TurnMove>(flat.move);
      at = compose(
          at, pose_after({Length(), *turn.extent.angle * (turn.side == Side::kLeft ? 1.0 : -1.0)}));
    }
  }
  return stops;
}

RC_GTEST_PROP(FitPath, NoOtherChoiceOfCornersIsNearer, ()) {
  std::vector<Point> path;
  const int n = *rc::gen::inRange(2, 9);
  for (int i = 0; i < n; ++i) {
    path.push_back(at_mm(*rc::gen::inRange(-500, 500), *rc::gen::inRange(-500, 500)));
    if (i > 0) RC_PRE(apart(path[path.size() - 2], path.back()) > 0.0);
  }
  const int most_moves = *rc::gen::inRange(1, 12);
  const auto fitted = fit_path(path, most_moves);
  RC_ASSERT(fitted.has_value());
  // Every set of points between the ends that leaves at most so many lines.
  double least = 1e300;
  for (unsigned kept = 0; kept < 1u << (n - 2); ++kept) {
    std::vector<int> corners{0};
    for (int i = 1; i + 1 < n; ++i) {
      if ((kept >> (i - 1)) & 1u) corners.push_back(i);
    }
    corners.push_back(n - 1);
    if (static_cast<int>(corners.size() - 1) * 2 - 1 > most_moves) continue;
    double off = 0.0;
    for (std::size_t c = 0; c + 1 < corners.size(); ++c) {
      for (int k = corners[c] + 1; k < corners[c + 1]; ++k) {
        off = std::max(off, to_line(path[static_cast<std::size_t>(k)],
                                    path[static_cast<std::size_t>(corners[c])],
                                    path[static_cast<std::size_t>(corners[c + 1])]));
      }
    }
    least = std::min(least, off);
  }
  RC_ASSERT(std::abs(fitted->farthest_off.mm() - least) < 1e-6);
  RC_ASSERT(static_cast<int>(flatten(fitted->moves)->size()) <= most_moves);
  // The moves lead from corner to corner: half a tenth of a millimetre and half a hundredth of a
  // degree on at most 1.5 m.
  const std::vector<Point> stops = stops_of(*fitted);
  RC_ASSERT(stops.size() == fitted->corners.size());
  for (std::size_t i = 0; i < stops.size(); ++i) {
    RC_ASSERT(apart(stops[i], fitted->corners[i]) < 0.05 + 1500 * 0.005 * 3.1416 / 180 + 1e-9);
  }
}

TEST(FitPath, ASquareOfManyPoints_IsFourDrives) {
  std::vector<Point> path;
  for (int i = 0; i <= 80; ++i) {
    const double t = i % 20 * 20.0;
    const int side = i / 20;
    path.push_back(side == 0   ? at_mm(t, 0)
                   : side == 1 ? at_mm(400, t)
                   : side == 2 ? at_mm(400 - t, 400)
                   : side == 3 ? at_mm(0, 400 - t)
                               : at_mm(0, 0));
  }
  const auto fitted = fit_path(path, 20);
  ASSERT_TRUE(fitted) << fitted.error().message;
  EXPECT_EQ(format_moves(fitted->moves),
            "drive 400 mm\nturn left 90 deg\ndrive 400 mm\nturn left 90 deg\ndrive 400 mm\n"
            "turn left 90 deg\ndrive 400 mm\n");
  EXPECT_NEAR(fitted->farthest_off.mm(), 0.0, 1e-9);
}

TEST(FitPath, SaysWhereThePathIsFarthestOff) {
  const auto fitted = fit_path({at_mm(0, 0), at_mm(100, 7), at_mm(200, -3), at_mm(300, 0)}, 1);
  ASSERT_TRUE(fitted) << fitted.error().message;
  EXPECT_NEAR(fitted->farthest_off.mm(), 7.0, 1e-9);
  EXPECT_EQ(fitted->farthest_at.x.mm(), 100.0);
}

TEST(SizedTo, StretchesTheLongerSideAndKeepsTheFirstPoint) {
  const auto sized = sized_to({at_mm(10, 10), at_mm(20, 10), at_mm(20, 15)}, Length::from_mm(40));
  EXPECT_EQ(sized[0].x.mm(), 10);
  EXPECT_EQ(sized[1].x.mm(), 50);
  EXPECT_EQ(sized[2].y.mm(), 30);
  EXPECT_EQ(sized_to({at_mm(1, 1), at_mm(1, 1)}, Length::from_mm(40))[1].x.mm(), 1);
}

TEST(FitPath, WhatIsNoPath_IsRefused) {
  EXPECT_EQ(fit_path({}, 5).error().message, "the path has 0 places, expected two or more");
  EXPECT_EQ(fit_path({at_mm(1, 1), at_mm(1, 1)}, 5).error().message,
            "the path has 1 places, expected two or more");
  EXPECT_EQ(fit_path({at_mm(0, 0), at_mm(1, 1)}, 0).error().message,
            "at most 0 moves are asked for, expected 1 or more");
  EXPECT_EQ(fit_path({at_mm(0, 0), at_mm(1e9, 1)}, 3).error().message,
            "point 2 is 1e+09, 1, expected numbers within 100 m of the origin");
}

}  // namespace
}  // namespace runtrue
