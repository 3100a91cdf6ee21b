// The laws of the forecast on robots whose behaviour is known without it.
#include "forecast/forecast.h"

#include <gtest/gtest.h>

#include <cmath>

#include "forecast/internal/test_scene.h"

namespace runtrue {
namespace {

using internal::at_mm;
using internal::drive;
using internal::pose;
using internal::sure_settings;
using internal::trestle;
using internal::turn;

ForecastOptions exact_start(int samples) {
  ForecastOptions options;
  options.samples = samples;
  options.start_sd = Length();
  options.start_heading_sd = Angle();
  return options;
}

const Robot kDunlin = default_robot("Dunlin", Length::from_mm(140));

TEST(Forecast, WithoutAnySpread_IsCertain) {
  const std::vector<CompiledMove> moves{drive(3000), turn(900, true), drive(2000)};
  const auto f = forecast_moves(kDunlin, sure_settings(), moves, trestle(), pose(300, 300, 0),
                                exact_start(500));
  ASSERT_TRUE(f) << f.error().message;
  EXPECT_EQ(f->fall.mean, 0.0);
  EXPECT_EQ(f->bump.mean, 0.0);
  EXPECT_GT(f->fall.high, 0.0);  // 500 samples can't say never
  for (const double c : f->end_covariance) EXPECT_NEAR(c, 0.0, 1e-12);
  // sure_settings: 100 mm/s, 1.5708 rad/s on the spot, no lost time, no bend.
  EXPECT_NEAR(f->nominal_end.x.mm(), 600 + 200 * std::cos(0.9 * 1.5708), 1e-6);
  EXPECT_NEAR(f->nominal_end.y.mm(), 300 + 200 * std::sin(0.9 * 1.5708), 1e-6);
}

TEST(Forecast, HeadingOverTheEdge_FallsInTheFirstMoveForSure) {
  const auto f = forecast_moves(kDunlin, sure_settings(), {drive(3000), drive(1000)}, trestle(),
                                pose(1400, 400, 0), exact_start(200));
  ASSERT_TRUE(f) << f.error().message;
  EXPECT_EQ(f->fall.mean, 1.0);
  EXPECT_EQ(f->fall.high, 1.0);
  EXPECT_LT(f->fall.low, 1.0);
  ASSERT_TRUE(f->first_risky_move);
  EXPECT_EQ(f->first_risky_move->index, 0);
  EXPECT_EQ(f->first_risky_move->mishap, Mishap::kFalls);
  // The castor 60 mm ahead crosses x = 1520.
  EXPECT_NEAR(f->first_risky_move->where.x.mm(), 1460, 1e-6);
  EXPECT_EQ(f->moves[0].fall_probability, 1.0);
  EXPECT_EQ(f->moves[1].fall_probability, 0.0);
  EXPECT_EQ(f->moves[0].clearance.mm(), 0.0);
}

TEST(Forecast, OnAWalledTable_NeverFallsButBumps) {
  Table table = trestle();
  table.walled = true;
  const auto f = forecast_moves(kDunlin, sure_settings(), {drive(3000)}, table, pose(1400, 400, 0),
                                exact_start(200));
  ASSERT_TRUE(f) << f.error().message;
  EXPECT_EQ(f->fall.mean, 0.0);
  EXPECT_EQ(f->bump.mean, 1.0);
  // The outline's radius is 95 mm.
  EXPECT_NEAR(f->first_risky_move->where.x.mm(), 1425, 1e-6);
}

TEST(Forecast, DrivingIntoTheMug_BumpsWhereItsRimIs) {
  Table table = trestle();
  table.obstacles.push_back({"mug", at_mm(900, 300), Length::from_mm(45), {}});
  const auto f = forecast_moves(kDunlin, sure_settings(), {drive(6000)}, table, pose(300, 300, 0),
                                exact_start(100));
  ASSERT_TRUE(f) << f.error().message;
  EXPECT_EQ(f->bump.mean, 1.0);
  EXPECT_NEAR(f->first_risky_move->where.x.mm(), 900 - 45 - 95, 1e-6);
}

TEST(Forecast, EmptyList_StaysWhereItIs) {
  const auto f =
      forecast_moves(kDunlin, sure_settings(), {}, trestle(), pose(300, 300, 45), exact_start(50));
  ASSERT_TRUE(f) << f.error().message;
  EXPECT_EQ(f->fall.mean, 0.0);
  EXPECT_TRUE(f->moves.empty());
  EXPECT_FALSE(f->first_risky_move);
  EXPECT_EQ(f->nominal_path.size(), 1u);
  EXPECT_EQ(f->nominal_end.x.mm(), 300);
}

}  // namespace
}  // namespace runtrue
