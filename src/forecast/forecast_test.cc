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
using internal::set_sd;
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

TEST(Forecast, OnATableWithOneWall_BumpsThereAndFallsElsewhere) {
  Table table = trestle();
  table.odd_sides = {1};  // x = 1520
  for (const double heading : {0.0, 180.0}) {
    const double x = heading == 0.0 ? 1400 : 120;
    const auto f = forecast_moves(kDunlin, sure_settings(), {drive(3000)}, table,
                                  pose(x, 400, heading), exact_start(200));
    ASSERT_TRUE(f) << f.error().message;
    EXPECT_EQ(f->bump.mean, heading == 0.0 ? 1.0 : 0.0);
    EXPECT_EQ(f->fall.mean, heading == 0.0 ? 0.0 : 1.0);
    EXPECT_NEAR(f->first_risky_move->where.x.mm(), heading == 0.0 ? 1425 : 60, 1e-6);
  }
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

DriveSettings usual_settings() {
  DriveSettings s = sure_settings();
  set_sd(s, Constant::kMismatchForward, 0.004);
  set_sd(s, Constant::kLogSpeedGain, 0.02);
  set_sd(s, Constant::kLogTurnGainLeft, 0.02);
  set_sd(s, Constant::kLostTimeStraight, 0.02);
  s.scatter = {2e-5, 0.02, 0.03};
  return s;
}

// Everything that a forecast holds, as bits.
std::vector<double> numbers_of(const Forecast& f) {
  std::vector<double> all{f.fall.mean, f.fall.low, f.fall.high, f.bump.mean};
  all.insert(all.end(), f.end_covariance.begin(), f.end_covariance.end());
  for (const MoveOutlook& m : f.moves) {
    all.insert(all.end(), {m.fall_probability, m.bump_probability, m.clearance.mm()});
  }
  for (const auto& path : f.sample_paths) {
    for (const Pose& p : path) all.insert(all.end(), {p.x.mm(), p.y.mm(), p.heading.rad()});
  }
  for (const Point& p : f.region_95) all.insert(all.end(), {p.x.mm(), p.y.mm()});
  return all;
}

const std::vector<CompiledMove> kTour{drive(6000), turn(1000, true), drive(3000), turn(1000, true),
                                      drive(6000)};

TEST(Forecast, SameSeed_GivesTheSameBitsOnAnyNumberOfThreads) {
  ForecastOptions options;
  options.samples = 3000;
  const auto one =
      forecast_moves(kDunlin, usual_settings(), kTour, trestle(), pose(300, 200, 0), options);
  ASSERT_TRUE(one) << one.error().message;
  EXPECT_GT(one->fall.mean + one->moves[0].clearance.mm(), 0.0);
  for (const int threads : {2, 3, 7}) {  // 12 batches, and limits from the first
    options.threads = threads;
    const auto many =
        forecast_moves(kDunlin, usual_settings(), kTour, trestle(), pose(300, 200, 0), options);
    EXPECT_EQ(numbers_of(*one), numbers_of(*many)) << threads << " threads";
  }
  options.seed = 2;
  const auto other =
      forecast_moves(kDunlin, usual_settings(), kTour, trestle(), pose(300, 200, 0), options);
  EXPECT_NE(numbers_of(*one), numbers_of(*other));
}

TEST(Forecast, ASample_IsTheSameHoweverManyThereAre) {
  ForecastOptions options;
  for (const int samples : {1, 60, 300, 1000}) {
    options.samples = samples;
    options.kept_paths = 1;
    const auto f =
        forecast_moves(kDunlin, usual_settings(), kTour, trestle(), pose(300, 200, 0), options);
    ASSERT_TRUE(f);
    static const Pose kEnd = f->sample_paths[0].back();
    EXPECT_EQ(f->sample_paths[0].back().x.mm(), kEnd.x.mm()) << samples;
    EXPECT_EQ(f->sample_paths[0].back().heading.rad(), kEnd.heading.rad()) << samples;
  }
}

// A straight drive at the edge with nothing but scatter of the distance: the castor 60 mm ahead
// falls when 600 mm·(1 + 0.05 z) > 660 mm, so with probability 1 − Φ(2) = 0.0227501 [NistHb1].
TEST(Forecast, StraightAtTheEdge_FallsWithTheNormalTail) {
  DriveSettings settings = sure_settings();
  settings.scatter.distance_ratio = 0.05;
  ForecastOptions options = exact_start(100'000);
  const auto f =
      forecast_moves(kDunlin, settings, {drive(6000)}, trestle(), pose(800, 380, 0), options);
  ASSERT_TRUE(f);
  const double expected = 0.0227501;
  // Four standard deviations of the binomial: one seed in 16,000 would fail, and this one is fixed.
  EXPECT_NEAR(f->fall.mean, expected, 4 * std::sqrt(expected * (1 - expected) / 100'000));
  EXPECT_LT(f->fall.low, expected);
  EXPECT_GT(f->fall.high, expected);
}

// Spread of the end, in closed form for slight bends: with L the way and s the curvature's sd,
// heading s·L, sideways s·L²/2, together s²·L³/2; a bend drawn once for both halves of a way is one
// of twice the length, drawn anew it is (3L²/2)² + (L²/2)² and 2L².
TEST(Forecast, SpreadGrowsAsItsSourcesSay) {
  constexpr int kSamples = 40'000;
  const double way = 500.0, sd = 4e-5;
  const auto covariance_of = [&](bool anew) {
    DriveSettings settings = sure_settings();
    if (anew) {
      settings.scatter.curvature_per_mm = sd;
    } else {
      set_sd(settings, Constant::kMismatchForward, sd * 140.0);
    }
    const auto f = forecast_moves(kDunlin, settings, {drive(5000), drive(5000)}, trestle(),
                                  pose(200, 380, 0), exact_start(kSamples));
    return f->end_covariance;
  };
  // A variance of n samples is good to sqrt(2/n) of itself; four of those, and 2e-3 for the bends
  // not being quite slight.
  const double part = 4 * std::sqrt(2.0 / kSamples) + 2e-3;
  const auto once = covariance_of(false), anew = covariance_of(true);
  const double twice = 2 * way;
  EXPECT_NEAR(once[4] / std::pow(sd * twice * twice / 2, 2), 1.0, part);
  EXPECT_NEAR(once[8] / std::pow(sd * twice, 2), 1.0, part);
  EXPECT_NEAR(once[5] / (sd * sd * std::pow(twice, 3) / 2), 1.0, part);
  EXPECT_NEAR(anew[4] / (sd * sd * std::pow(way, 4) * 2.5), 1.0, part);
  EXPECT_NEAR(anew[8] / (2 * std::pow(sd * way, 2)), 1.0, part);
  EXPECT_NEAR(anew[5] / anew[7], 1.0, 1e-12);
}

TEST(Forecast, TheRegion_HoldsNineteenOfTwentyEndsOfABentSpread) {
  DriveSettings settings = sure_settings();
  settings.scatter.distance_ratio = 0.005;
  ForecastOptions options = exact_start(4000);
  options.kept_paths = 1000;
  options.start_heading_sd = Angle::from_deg(30);  // ends on a long bow about the start
  Table table = trestle();
  table.edge = {at_mm(-2000, -2000), at_mm(2000, -2000), at_mm(2000, 2000), at_mm(-2000, 2000)};
  const auto f = forecast_moves(kDunlin, settings, {drive(8000)}, table, pose(0, 0, 0), options);
  ASSERT_TRUE(f);
  int inside = 0;
  double area_mm2 = 0.0;
  const auto& region = f->region_95;
  for (std::size_t i = 0, j = region.size() - 1; i < region.size(); j = i++) {
    area_mm2 += (region[j].x.mm() * region[i].y.mm() - region[i].x.mm() * region[j].y.mm()) / 2;
  }
  for (const auto& path : f->sample_paths) {
    const double x = path.back().x.mm(), y = path.back().y.mm();
    bool in = false;
    for (std::size_t i = 0, j = region.size() - 1; i < region.size(); j = i++) {
      const double ay = region[i].y.mm(), by = region[j].y.mm();
      if ((ay > y) != (by > y) &&
          x < region[i].x.mm() + (region[j].x - region[i].x).mm() * (y - ay) / (by - ay)) {
        in = !in;
      }
    }
    inside += in;
  }
  // 95 % of all, counted to a node of the outline's grid; of these 1000: four binomial deviations.
  EXPECT_NEAR(inside / 1000.0, 0.95, 4 * std::sqrt(0.95 * 0.05 / 1000) + 0.01);
  // An ellipse of 95 % would be 2.4477²·π·sd·sd, with sds of about 95 and 390 mm: 700,000 mm².
  EXPECT_LT(area_mm2, 350'000);
}

TEST(Forecast, TheSumOverMoves_IsTheWhole) {
  Table table = trestle();
  table.obstacles.push_back({"mug", at_mm(880, 250), Length::from_mm(45), {}});
  ForecastOptions options;
  options.samples = 2000;
  const auto f =
      forecast_moves(kDunlin, usual_settings(), kTour, table, pose(300, 120, 0), options);
  ASSERT_TRUE(f);
  double falls = 0.0, bumps = 0.0;
  for (const MoveOutlook& m : f->moves) {
    falls += m.fall_probability;
    bumps += m.bump_probability;
  }
  EXPECT_NEAR(falls, f->fall.mean, 1e-12);
  EXPECT_NEAR(bumps, f->bump.mean, 1e-12);
  EXPECT_GT(bumps, 0.0);
}

TEST(Forecast, BadOptionsAndStarts_AreRefusedInOneSentence) {
  const auto message = [](const Pose& start, auto change) {
    ForecastOptions options;
    change(options);
    Table table = trestle();
    table.obstacles.push_back({"mug", at_mm(900, 500), Length::from_mm(45), {}});
    const auto f = forecast_moves(kDunlin, sure_settings(), kTour, table, start, options);
    return f ? std::string() : f.error().message;
  };
  const Pose good = pose(300, 200, 0);
  const auto nothing = [](ForecastOptions&) {};
  EXPECT_EQ(message(good, nothing), "");
  EXPECT_EQ(message(good, [](auto& o) { o.samples = 0; }),
            "the number of samples is 0, expected 1 to 10000000");
  EXPECT_EQ(message(good, [](auto& o) { o.threads = 65; }),
            "the number of threads is 65, expected 1 to 64");
  EXPECT_EQ(message(good, [](auto& o) { o.kept_paths = -1; }),
            "the number of kept paths is -1, expected 0 to 1000");
  EXPECT_EQ(message(good, [](auto& o) { o.start_sd = Length::from_mm(-1); }),
            "the start's scatter in mm is -1, expected 0 to 1000");
  EXPECT_EQ(message(pose(30, 200, 0), nothing),
            "the start 30,200,0 puts a wheel or castor off the table, expected a start with all of "
            "them on it");
  EXPECT_EQ(message(pose(900, 380, 0), nothing),
            "the start 900,380,0 puts the robot into an obstacle or the wall, expected a start "
            "clear of them");
  EXPECT_EQ(message(pose(std::nan(""), 380, 0), nothing),
            "the start is not finite, expected x and y in mm and a heading in deg");
}

TEST(SafestStart, OfALongDrive_RunsAlongTheTable) {
  ForecastOptions options;
  options.samples = 500;
  const auto s = safest_start(kDunlin, usual_settings(), {drive(12'000)}, trestle(), options);
  ASSERT_TRUE(s) << s.error().message;
  EXPECT_EQ(s->mishap.mean, 0.0);
  const double tilt = std::abs(std::sin(s->start.heading.rad()));
  EXPECT_LT(tilt, std::sin(Angle::from_deg(20).rad()));
  // From a start that isn't chosen it goes wrong.
  const auto across = forecast_moves(kDunlin, usual_settings(), {drive(12'000)}, trestle(),
                                     pose(760, 200, 90), options);
  EXPECT_EQ(across->fall.mean, 1.0);
}

TEST(SafestStart, WhereNoRobotCanStand_SaysSo) {
  Table table;
  table.edge = {at_mm(0, 0), at_mm(200, 0), at_mm(200, 60), at_mm(0, 60)};
  const auto s = safest_start(kDunlin, sure_settings(), {drive(100)}, table, exact_start(10));
  ASSERT_FALSE(s);
  EXPECT_EQ(s.error().message,
            "the robot can stand nowhere on the table, expected more room on it");
}

}  // namespace
}  // namespace runtrue
