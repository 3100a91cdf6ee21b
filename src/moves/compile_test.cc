#include "moves/compile.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "moves/internal/plain_settings.h"

namespace runtrue {
namespace {

using moves_internal::plain_robot;
using moves_internal::plain_settings;
using moves_internal::set;

// "left/right levels for milliseconds" of every command, or the error as a person sees it.
std::string compiled(std::string_view text, const DriveSettings& settings = plain_settings(),
                     const Robot& robot = plain_robot()) {
  const auto list = parse_moves(text, "");
  if (!list) return list.error().one_line();
  const auto commands = compile_moves(flatten(*list).value(), robot, settings);
  if (!commands) return commands.error().one_line();
  std::string all;
  for (const CompiledMove& move : *commands) {
    all += std::to_string(move.command.left.value) + "/" +
           std::to_string(move.command.right.value) + " " +
           std::to_string(move.command.milliseconds) + " ms; ";
  }
  return all;
}

TEST(CompileMoves, LengthsAndAnglesBecomeLostTimePlusTimeAtSpeed) {
  EXPECT_EQ(compiled("drive 300 mm"), "128/128 800 ms; ");         // 50 + 300/400
  EXPECT_EQ(compiled("reverse 10 cm"), "-128/-128 300 ms; ");      // 50 + 100/400
  EXPECT_EQ(compiled("turn left 90 deg"), "-128/128 340 ms; ");    // 40 + 90/300
  EXPECT_EQ(compiled("turn right 90 deg"), "128/-128 321 ms; ");   // 40 + 90/320 = 321.25
  EXPECT_EQ(compiled("turn left 720 deg"), "-128/128 2440 ms; ");  // two rounds
}

TEST(CompileMoves, TimesStayAsGiven) {
  EXPECT_EQ(compiled("drive 1.5 s\nreverse 0.25 s\nturn left 0.4 s\nturn right 7 ms\npause 1 s"),
            "128/128 1500 ms; -128/-128 250 ms; -128/128 400 ms; 128/-128 7 ms; 0/0 1000 ms; ");
}

TEST(CompileMoves, LevelHoldsFromThereOnAndMakesNoCommand) {
  EXPECT_EQ(compiled("drive 1 s\nat level 200\ndrive 1 s\nturn left 1 s"),
            "128/128 1000 ms; 200/200 1000 ms; -200/200 1000 ms; ");
  EXPECT_EQ(compiled("2 times\ndrive 1 s\nat level 78\nend"), "128/128 1000 ms; 78/78 1000 ms; ");
  EXPECT_EQ(compiled("at level 78\ndrive 100 mm"), "78/78 550 ms; ");  // 50 + 100/(4·50)
  EXPECT_EQ(compiled(""), "");
}

// Radius 150 mm at 400 mm/s asks for 2.667 rad/s, so a difference of 2·2.667/rad(3) = 101.9 levels;
// 102 has the parity of the sum 256. 90 deg at rad(3)·102/2 = 153 deg/s: 588.2 ms.
TEST(CompileMoves, BendsGetTwoLevelsAboutTheCurrentOne) {
  EXPECT_EQ(compiled("bend left 90 deg radius 150 mm"), "77/179 638 ms; ");
  // To the right the gain is larger: 2·2.667/rad(3.2) = 95.5 levels; the sum 256 takes 96 (radius
  // 149.2 mm), the sum 255 takes 95 (150.0 mm at 398 mm/s): 90/152 s.
  EXPECT_EQ(compiled("bend right 90 deg radius 150 mm"), "175/80 642 ms; ");
}

TEST(CompileMoves, WhatTheRobotBendsByItselfIsTakenOffABend) {
  DriveSettings settings = plain_settings();
  set(settings, Constant::kMismatchForward, 0.14);  // bends left with radius 1 m
  set(settings, Constant::kTrimEffect, 0.01);
  settings.trim = Trim{-4};  // leaves 0.1: radius 1.4 m
  const auto list = parse_moves("bend left 90 deg radius 700 mm", "").value();
  const auto moves = compile_moves(flatten(list).value(), plain_robot(), settings).value();
  const WheelCommand& command = moves[0].command;
  // Half of what the bend needs without it, 2·400/700/rad(3) = 21.8 levels.
  EXPECT_EQ(command.right.value - command.left.value, 11);
}

TEST(CompileMoves, SaysWhereAndWhatWasExpected) {
  EXPECT_EQ(compiled("drive 1 m\n  at level 300"),
            "2:3: level 300 is beyond the full level, expected 29 to 255");
  EXPECT_EQ(compiled("at level 28"),
            "1:1: level 28 is within the dead band, where the wheels stand still, expected 29 to "
            "255");
  EXPECT_EQ(compiled("bend left 90 deg radius 50 mm"),
            "1:1: radius 50 mm is too tight at level 128, expected at least 78 mm: the inner wheel "
            "needs level 29, the outer one has 255");
  // One level of difference is the most there: 254/255 at 906 mm/s turn at rad(3)/2.
  EXPECT_EQ(compiled("at level 255\nbend left 90 deg radius 50 mm"),
            "2:1: radius 50 mm is too tight at level 255, expected at least 34607 mm: the inner "
            "wheel needs level 29, the outer one has 255");
  EXPECT_EQ(compiled("at level 29\nbend right 90 deg radius 50 mm"),
            "2:1: radius 50 mm is too tight at level 29, expected at least 215 mm: the inner wheel "
            "needs level 29, the outer one has 255");
  EXPECT_EQ(compiled("bend left 10 deg radius 20 m"),
            "1:1: whole levels around 128 give a radius of 15355 mm and none nearer to 20000 mm, "
            "expected a radius they meet within a tenth");
}

TEST(CompileMoves, StandsStillWhereTheUsualLevelDoesNotMove) {
  Robot robot = plain_robot();
  robot.level_usual = Level{20};
  EXPECT_EQ(compiled("pause 1 s", plain_settings(), robot), "0/0 1000 ms; ");
  EXPECT_EQ(compiled("pause 1 s\ndrive 1 s", plain_settings(), robot),
            "2:1: the usual level 20 is within the dead band, where the wheels stand still, "
            "expected 29 to 255");
  robot.level_full = Level{25};
  EXPECT_EQ(compiled("drive 1 s", plain_settings(), robot),
            "1:1: the dead band of 28 levels covers all levels up to 25, expected other settings");
}

TEST(CompileMoves, TimesOfNothingOrOverAnHourAreRefused) {
  DriveSettings slow = plain_settings();
  set(slow, Constant::kLogSpeedGain, std::log(0.0002));  // 0.02 mm/s
  EXPECT_EQ(compiled("drive 60 mm\ndrive 100 mm", slow),
            "2:1: this takes 5000 s at level 128, expected at most 3600 s");
  set(slow, Constant::kLogSpeedGain, 800.0);  // a speed beyond what a double holds
  set(slow, Constant::kLostTimeStraight, 0.0);
  EXPECT_EQ(compiled("drive 60 mm", slow),
            "1:1: this takes under half a millisecond at level 128, expected at least 1 ms");
  DriveSettings fast = plain_settings();
  set(fast, Constant::kLostTimeStraight, 0.0);
  EXPECT_EQ(compiled("drive 0.1 mm", fast),  // 0.25 ms
            "1:1: this takes under half a millisecond at level 128, expected at least 1 ms");
  EXPECT_EQ(compiled("drive 1 h"),
            "1:9: 'h' is not a unit, expected mm, cm, m or in for a length, s or ms for a time");
  EXPECT_EQ(compiled("drive 3600 s"), "128/128 3600000 ms; ");
}

std::string untrued(std::string_view text, const DriveSettings& settings) {
  const auto list = parse_moves(text, "").value();
  return compile_moves(flatten(list).value(), plain_robot(), settings).value().back().untrued;
}

TEST(CompileMoves, NamesMovesBeyondWhatWasMeasured) {
  DriveSettings settings = plain_settings();
  EXPECT_EQ(untrued("drive 1 m", settings), "");
  EXPECT_EQ(untrued("bend left 90 deg radius 150 mm", settings), "");
  EXPECT_EQ(untrued("at level 160\npause 1 s", settings), "");
  EXPECT_EQ(untrued("at level 160\ndrive 1 s", settings), "level 160 was never measured");
  EXPECT_EQ(untrued("at level 160\nturn left 1 s", settings), "level 160 was never measured");
  settings.trued_levels = {Level{128}};
  EXPECT_EQ(untrued("drive 1 m", settings), "");
  EXPECT_EQ(untrued("turn left 1 s", settings), "");
  EXPECT_EQ(untrued("reverse 1 m", settings), "level 128 was never measured in reverse");
  settings.trued_levels = {Level{-128}};
  EXPECT_EQ(untrued("drive 1 m", settings), "level 128 was never measured forward");
  settings.trued_levels = {};
  settings.assumed = {Constant::kLogSpeedGain, Constant::kLogTurnGainRight};
  EXPECT_EQ(untrued("drive 1 m", settings),
            "level 128 was never measured; its speed was never measured");
  EXPECT_EQ(untrued("drive 1 s", settings), "level 128 was never measured");
  EXPECT_EQ(untrued("turn left 90 deg", settings), "level 128 was never measured");
  EXPECT_EQ(untrued("turn right 90 deg", settings),
            "level 128 was never measured; a right turn was never measured");
}

// Any robot and settings within what desk robots have.
struct Bench {
  Robot robot = plain_robot();
  DriveSettings settings;
};
Bench any_bench() {
  const auto between = [](double low, double high) {
    return low + (high - low) * *rc::gen::inRange(0, 100001) / 100000.0;
  };
  Bench bench;
  bench.robot.track_width = Length::from_mm(between(60, 250));
  const double gain = between(1.0, 8.0);
  const double turn_gain = 2.0 * gain / bench.robot.track_width.mm();  // rad/s: two wheels, opposed
  DriveSettings& s = bench.settings;
  set(s, Constant::kMismatchForward, between(-0.05, 0.05));
  set(s, Constant::kMismatchReverse, between(-0.2, 0.2));
  set(s, Constant::kMismatchByLevel, between(-0.02, 0.02));
  set(s, Constant::kTrimEffect, between(-0.006, 0.006));
  set(s, Constant::kLogSpeedGain, std::log(gain));
  set(s, Constant::kDeadBand, between(0, 70));
  set(s, Constant::kLostTimeStraight, between(-0.02, 0.2));
  set(s, Constant::kLogTurnGainLeft, std::log(turn_gain * between(0.8, 1.2)));
  set(s, Constant::kLogTurnGainRight, std::log(turn_gain * between(0.8, 1.2)));
  set(s, Constant::kLostTimeTurn, between(-0.02, 0.2));
  s.trim = Trim{*rc::gen::inRange(-3, 4)};
  return bench;
}

constexpr double kHalfMillisecond_s = 0.0005;
constexpr double kRounding = 1e-9;  // of a few operations on numbers up to 1e5

WheelCommand only_command(const SingleMove& move, int level, const Bench& bench) {
  const std::vector<FlatMove> moves{{AtLevel{Level{level}}, 1, 1}, {move, 2, 1}};
  const auto compiled = compile_moves(moves, bench.robot, bench.settings);
  RC_ASSERT(compiled.has_value());
  RC_ASSERT(compiled->size() == 1U);
  return compiled->front().command;
}

// Half a millisecond at that speed is all that may be missing or too much.
RC_GTEST_PROP(CompileMoves, ArcOfAStraightIsTheLengthAskedToHalfAMillisecond, ()) {
  const Bench bench = any_bench();
  const int level = *rc::gen::inRange(72, 256);
  const bool back = *rc::gen::arbitrary<bool>();
  const double asked_mm = *rc::gen::inRange(10, 50001) / 10.0;
  const Extent extent{Length::from_mm(asked_mm), std::nullopt};
  const WheelCommand command = only_command(
      back ? SingleMove(ReverseMove{extent}) : SingleMove(DriveMove{extent}), level, bench);
  RC_ASSERT(command.left == command.right);
  RC_ASSERT(command.left.value == (back ? -level : level));
  const auto& constants = bench.settings.mean;
  const Arc arc = arc_of(constants, bench.robot, command, bench.settings.trim);
  const double speed =
      motion_of(constants, bench.robot, command, bench.settings.trim).speed.mm_per_s();
  RC_ASSERT(std::abs(arc.length.mm() - (back ? -asked_mm : asked_mm)) <=
            std::abs(speed) * kHalfMillisecond_s + kRounding);
}

RC_GTEST_PROP(CompileMoves, ArcOfATurnIsTheAngleAskedToHalfAMillisecond, ()) {
  const Bench bench = any_bench();
  const int level = *rc::gen::inRange(72, 256);
  const bool right = *rc::gen::arbitrary<bool>();
  const Angle asked = Angle::from_deg(*rc::gen::inRange(10, 36000) / 10.0);
  const WheelCommand command = only_command(
      TurnMove{right ? Side::kRight : Side::kLeft, {asked, std::nullopt}}, level, bench);
  const auto& constants = bench.settings.mean;
  const Arc arc = arc_of(constants, bench.robot, command, bench.settings.trim);
  const double rate =
      motion_of(constants, bench.robot, command, bench.settings.trim).turn_rate.rad_per_s();
  RC_ASSERT(arc.length.mm() == 0.0);
  RC_ASSERT(std::abs(arc.turn.rad() - (right ? -asked.rad() : asked.rad())) <=
            std::abs(rate) * kHalfMillisecond_s + kRounding);
}

// A bend's difference is rounded to a whole number of the sum's parity, so by at most 1 level,
// which is h/(2v) of curvature; the angle is off by half a millisecond; the length of the path is
// the angle over the curvature.
RC_GTEST_PROP(CompileMoves, ArcOfABendIsTheAngleAndRadiusAskedToTheRounding, ()) {
  const Bench bench = any_bench();
  const int level = *rc::gen::inRange(100, 230);
  const double sign = *rc::gen::element(-1.0, 1.0);
  const Side side = sign > 0 ? Side::kLeft : Side::kRight;
  const double radius_mm = *rc::gen::inRange(1000, 10000) / 10.0;
  const Angle asked = Angle::from_deg(*rc::gen::inRange(50, 7200) / 10.0);
  const std::vector<FlatMove> moves{{AtLevel{Level{level}}, 1, 1},
                                    {BendMove{side, asked, Length::from_mm(radius_mm)}, 2, 1}};
  const auto compiled = compile_moves(moves, bench.robot, bench.settings);
  RC_PRE(compiled.has_value());
  const WheelCommand command = compiled->front().command;
  const auto& constants = bench.settings.mean;
  const double dead_band = bench.settings.of(Constant::kDeadBand);
  const auto [inner, outer] = std::minmax(command.left.value, command.right.value);
  RC_ASSERT(command.right.value * sign > command.left.value * sign);
  RC_ASSERT(std::abs(inner + outer - 2 * level) <= 1);
  RC_ASSERT(inner > dead_band);
  RC_ASSERT(outer <= bench.robot.level_full.value);

  const Motion motion = motion_of(constants, bench.robot, command, bench.settings.trim);
  const double curvature = motion.turn_rate.rad_per_s() / motion.speed.mm_per_s();
  const double turn_gain = std::exp(
      bench.settings.of(sign > 0 ? Constant::kLogTurnGainLeft : Constant::kLogTurnGainRight));
  const double step = turn_gain / (2.0 * motion.speed.mm_per_s());
  RC_ASSERT(std::abs(curvature - sign / radius_mm) <= step * (1.0 + kRounding));
  RC_ASSERT(std::abs(1.0 / std::abs(curvature) - radius_mm) <= kRadiusTolerance_ratio * radius_mm);
  const Arc arc = arc_of(constants, bench.robot, command, bench.settings.trim);
  RC_ASSERT(std::abs(arc.turn.rad() - sign * asked.rad()) <=
            std::abs(motion.turn_rate.rad_per_s()) * kHalfMillisecond_s + kRounding);
  RC_ASSERT(std::abs(arc.length.mm() - arc.turn.rad() / curvature) <= kRounding * arc.length.mm());
}

// No two other levels with that mean come nearer to the curvature: tried one after the other.
RC_GTEST_PROP(CompileMoves, NoOtherLevelsOfABendComeNearer, ()) {
  const Bench bench = any_bench();
  const int level = *rc::gen::inRange(100, 230);
  const double wanted = 1.0 / *rc::gen::inRange(100, 1000);
  const std::vector<FlatMove> moves{
      {AtLevel{Level{level}}, 1, 1},
      {BendMove{Side::kLeft, Angle::from_deg(90), Length::from_mm(1.0 / wanted)}, 2, 1}};
  const auto compiled = compile_moves(moves, bench.robot, bench.settings);
  RC_PRE(compiled.has_value());
  const auto error_of = [&](int left, int right) {
    const Motion motion =
        motion_of(bench.settings.mean, bench.robot, {{left}, {right}, 0}, bench.settings.trim);
    return std::abs(motion.turn_rate.rad_per_s() / motion.speed.mm_per_s() - wanted);
  };
  const WheelCommand command = compiled->front().command;
  const double error = error_of(command.left.value, command.right.value);
  for (int sum = 2 * level - 1; sum <= 2 * level + 1; ++sum) {
    for (int right = sum / 2 + 1; right <= bench.robot.level_full.value; ++right) {
      if (sum - right <= bench.settings.of(Constant::kDeadBand)) break;
      RC_ASSERT(error <= error_of(sum - right, right) * (1.0 + kRounding) + 1e-15);
    }
  }
}

}  // namespace
}  // namespace runtrue
