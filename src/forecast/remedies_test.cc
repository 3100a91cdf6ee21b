// What is said to help, helps as much as it is said.
#include "forecast/remedies.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "forecast/internal/learned.h"
#include "forecast/internal/test_scene.h"
#include "moves/change_moves.h"

namespace runtrue {
namespace {

using internal::learned_from;
using internal::pose;
using internal::set_sd;
using internal::sure_settings;
using internal::trestle;

Robot dunlin() {
  Robot robot = default_robot("Dunlin", Length::from_mm(140));
  robot.level_usual = Level{120};
  return robot;
}

std::vector<FlatMove> list_of(const std::string& text) {
  return *flatten(*parse_moves(text, "test"));
}

ForecastOptions exact_start() {
  ForecastOptions options;
  options.start_sd = Length();
  options.start_heading_sd = Angle();
  return options;
}

TEST(Remedies, TheLargestScale_IsTheRoomThereIs) {
  // From x = 500 the castor, 60 mm ahead, has 960 mm to the edge at 1520: 96 % of 1000 mm; and a
  // whole per cent of it is the step.
  const auto found = find_remedies(dunlin(), sure_settings(), list_of("drive 1000 mm\n"), trestle(),
                                   pose(500, 400, 0), exact_start());
  ASSERT_TRUE(found) << found.error().message;
  EXPECT_EQ(found->mishap.mean, 1.0);
  ASSERT_TRUE(found->largest_scale);
  EXPECT_NEAR(found->largest_scale->ratio, 0.95, 0.0101);
  EXPECT_FALSE(found->needed_level);  // without doubt a level changes nothing
  EXPECT_EQ(found->best_measurement(), nullptr);
}

TEST(Remedies, WhatIsInDoubt_IsWhatIsWorthMeasuring) {
  // One doubt each, and the measurement that tells about it.
  const struct {
    Constant doubt;
    double sd;
    Measurement best;
    Pose start;
  } cases[] = {
      {Constant::kMismatchForward, 0.02, Measurement::kStraightRuns, pose(200, 150, 0)},
      {Constant::kLogSpeedGain, 0.05, Measurement::kTimedRuns, pose(500, 400, 0)},
      {Constant::kLogTurnGainLeft, 0.1, Measurement::kTurnRuns, pose(300, 150, 0)},
  };
  for (const auto& c : cases) {
    DriveSettings settings = sure_settings();
    set_sd(settings, c.doubt, c.sd);
    const char* text = c.best == Measurement::kTurnRuns
                           ? "drive 300 mm\nturn left 180 deg\ndrive 300 mm\n"
                           : "drive 900 mm\n";
    const auto found =
        find_remedies(dunlin(), settings, list_of(text), trestle(), c.start, exact_start());
    ASSERT_TRUE(found) << found.error().message;
    ASSERT_NE(found->best_measurement(), nullptr) << text;
    EXPECT_EQ(found->best_measurement()->what, c.best) << word_of(found->best_measurement()->what);
  }
  const auto jig = find_remedies(dunlin(), sure_settings(), list_of("drive 900 mm\n"), trestle(),
                                 pose(400, 400, 0));
  ASSERT_TRUE(jig && jig->best_measurement());
  EXPECT_EQ(jig->best_measurement()->what, Measurement::kStartJig);
}

TEST(LearnedFrom, LeavesTheVarianceOfAMeanOfReadings) {
  // One unknown with variance p and n readings of variance r leave 1/(1/p + n/r): common practice.
  const Robot robot = dunlin();
  DriveSettings settings = sure_settings();
  settings.scatter.turn_ratio = 0.02;
  set_sd(settings, Constant::kLogTurnGainLeft, 0.05);
  const auto left = learned_from({Measurement::kTurnRuns, Level{120}, 4, {}, {}}, robot, settings);
  const double once_round = 2.0 * M_PI;  // at 1.5708 rad/s, in whole milliseconds
  const double r = std::pow(0.02, 2) + std::pow(1.5 * M_PI / 180.0 / once_round, 2);
  const double p = 0.05 * 0.05;
  EXPECT_NEAR(left.variance(Constant::kLogTurnGainLeft, Constant::kLogTurnGainLeft),
              1.0 / (1.0 / p + 4.0 / r), 2e-3 * r);
  // A turn to the right tells nothing of the left.
  const auto right =
      learned_from({Measurement::kTurnRuns, Level{-120}, 4, {}, {}}, robot, settings);
  EXPECT_EQ(right.covariance, settings.covariance);
}

TEST(Closing, OfAClosedList_IsHowFarFromItsStartItEnds) {
  DriveSettings settings = sure_settings();
  // 1 % too little way alone: a square of four equal sides still closes.
  settings.mean[static_cast<std::size_t>(Constant::kLogSpeedGain)] += 0.01;
  std::vector<CompiledMove> square;
  for (const FlatMove& m : list_of("4 times\ndrive 300 mm\nturn left 90 deg\nend\n")) {
    square.push_back((*compile_moves({m}, dunlin(), sure_settings()))[0]);
  }
  ForecastOptions options = exact_start();
  options.samples = 1000;
  options.start_sd = Length::from_mm(3);
  const auto f = forecast_moves(dunlin(), settings, square, trestle(), pose(400, 200, 0), options);
  ASSERT_TRUE(f && f->closing);
  // Distances of a round normal spread of 3 mm: median 3·sqrt(2 ln 2), 95 % 3·sqrt(2 ln 20)
  // (Rayleigh, common practice); a thousand samples tell them to 5 % at three deviations. A turn
  // is right to half a millisecond of 1.57 rad/s, four of them to 3 mrad, 2 mm on the way.
  EXPECT_NEAR(f->closing->median.mm(), 3.53, 0.5);
  EXPECT_NEAR(f->closing->within_95.mm(), 7.34, 0.7);
  square.pop_back();
  square.pop_back();
  const auto open =
      forecast_moves(dunlin(), settings, square, trestle(), pose(400, 200, 0), options);
  ASSERT_TRUE(open);
  EXPECT_FALSE(open->closing);
}

TEST(Slowed, KeepsWhatIsSlowerAlready) {
  const auto slow = slowed(list_of("drive 10 mm\nat level 90\npause 1 s\nat level 200\n"),
                           Level{100}, Level{128});
  std::string text;
  for (const FlatMove& m : slow) text += m.text() + "; ";
  EXPECT_EQ(text, "at level 100; drive 10 mm; at level 90; pause 1 s; at level 100; ");
}

}  // namespace
}  // namespace runtrue
