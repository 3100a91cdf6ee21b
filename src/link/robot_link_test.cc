#include "link/robot_link.h"

#include <gtest/gtest.h>

#include <array>
#include <atomic>
#include <cmath>
#include <cstring>
#include <thread>
#include <tuple>

#include "link/chance.h"
#include "link/host_robot.h"
#include "link/robot_load.h"
#include "link/serial_port.h"

namespace runtrue {
namespace {

using std::chrono::milliseconds;

Robot knot() { return default_robot("Knot", Length::from_mm(140)); }

DriveSettings knots_settings() {
  DriveSettings settings;
  const auto set = [&](Constant c, double v) { settings.mean[static_cast<std::size_t>(c)] = v; };
  set(Constant::kLogSpeedGain, std::log(3.0));
  set(Constant::kDeadBand, 30);
  set(Constant::kLostTimeStraight, 0.06);
  set(Constant::kLogTurnGainLeft, std::log(0.04));
  set(Constant::kLogTurnGainRight, std::log(0.04));
  set(Constant::kLostTimeTurn, 0.05);
  settings.trim = Trim{-7};
  return settings;
}

// A robot of this computer on a pseudo-terminal, served by a thread of its own.
class ServedRobot {
 public:
  ServedRobot() : line_(PseudoTerminal::open().value()) {
    thread_ = std::thread([this] {
      while (!stop_) {
        robot_.serve(*line_, milliseconds(5));
        robot_.pass(1);
      }
    });
  }
  ~ServedRobot() { end(); }
  void end() {
    stop_ = true;
    if (thread_.joinable()) thread_.join();
  }
  [[nodiscard]] const std::string& path() const { return line_->path(); }
  HostRobot& robot() { return robot_; }  // after `end`

 private:
  std::unique_ptr<PseudoTerminal> line_;
  HostRobot robot_{robot::kHasTrimPot};
  std::atomic<bool> stop_ = false;
  std::thread thread_;
};

// Spoils one byte in a hundred, each way, and loses every twentieth piece.
class BadLine final : public ByteLine {
 public:
  BadLine(ByteLine& good, std::uint64_t seed) : good_(good), rng_(seed) {}
  Result<void> send(std::span<const std::uint8_t> bytes) override {
    if (happens(rng_, 0.05)) return {};
    const auto spoiled = spoil(bytes);
    return good_.send(spoiled);
  }
  Result<std::vector<std::uint8_t>> receive(milliseconds within) override {
    auto bytes = good_.receive(within);
    if (!bytes || bytes->empty()) return bytes;
    if (happens(rng_, 0.05)) return std::vector<std::uint8_t>();
    return spoil(*bytes);
  }
  [[nodiscard]] int spoiled() const { return spoiled_; }

 private:
  std::vector<std::uint8_t> spoil(std::span<const std::uint8_t> bytes) {
    std::vector<std::uint8_t> all(bytes.begin(), bytes.end());
    for (std::uint8_t& byte : all) {
      if (!happens(rng_, 0.01)) continue;
      byte = static_cast<std::uint8_t>(byte ^ whole(rng_, 1, 255));
      ++spoiled_;
    }
    return all;
  }
  ByteLine& good_;
  Rng rng_;
  int spoiled_ = 0;
};

std::vector<CompiledMove> twenty_moves() {
  std::vector<CompiledMove> moves;
  for (int i = 0; i < 20; ++i) moves.push_back({"drive", i + 1, {{100 + i}, {120 + i}, 500}, ""});
  return moves;
}

TEST(RobotLink, LineThatSpoilsAndLoses_StillLoadsAllOfItRight) {
  const auto settings = settings_part(knot(), knots_settings()).value();
  const auto moves = moves_part(twenty_moves()).value();
  int spoiled = 0;
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    ServedRobot served;
    auto port = open_serial_port(served.path());
    ASSERT_TRUE(port) << port.error().one_line();
    BadLine line(**port, seed);
    // Patience of 40 ms: this robot's memory takes no time to write.
    RobotLink link(line, {.patience = milliseconds(40), .tries = 30});
    const auto told = link.greet();
    ASSERT_TRUE(told) << told.error().one_line();
    EXPECT_TRUE(told->has_trim_pot);
    ASSERT_TRUE(link.load(robot::Part::kSettings, settings));
    ASSERT_TRUE(link.load(robot::Part::kMoves, moves));
    EXPECT_TRUE(link.holds(robot::Part::kSettings, settings).value());
    EXPECT_TRUE(link.holds(robot::Part::kMoves, moves).value());
    ASSERT_TRUE(link.leave());
    served.end();
    const robot::Machine& machine = served.robot().machine();
    EXPECT_EQ(std::string(machine.settings().name), "Knot");
    EXPECT_EQ(machine.settings().trim, -7);
    EXPECT_EQ(machine.store().items(robot::Part::kMoves), 20);
    robot::TimedLevels last{};
    machine.store().item(robot::Part::kMoves, 19, &last);
    EXPECT_EQ(std::tie(last.left, last.right, last.ms), std::make_tuple(119, 139, 500));
    EXPECT_EQ(machine.mode(), robot::Mode::kReady);
    spoiled += line.spoiled();
  }
  EXPECT_GT(spoiled, 20);  // the line was bad indeed
}

TEST(RobotLink, Log_TellsWhatRan) {
  ServedRobot served;
  const auto settings = settings_part(knot(), knots_settings()).value();
  const Truing truing = true_robot(knot(), {}).value();
  const auto runs = plan_trials(knot(), truing, 6);
  const auto trials = trials_part(knot(), truing.settings, runs).value();
  {
    auto port = open_serial_port(served.path());
    RobotLink link(**port);
    ASSERT_TRUE(link.greet() && link.load(robot::Part::kSettings, settings) &&
                link.load(robot::Part::kTrials, trials) && link.leave());
  }
  served.end();
  HostRobot& robot = served.robot();
  for (int i = 0; i < 6; ++i) {
    robot.press(robot::kKeyGo);
    robot.pass(62000);
  }
  std::thread again;
  auto line = PseudoTerminal::open().value();
  std::atomic<bool> stop = false;
  again = std::thread([&] {
    while (!stop) robot.serve(*line, milliseconds(5));
  });
  auto port = open_serial_port(line->path());
  RobotLink link(**port);
  EXPECT_EQ(link.greet().value().name, "Knot");
  const auto log = link.log();
  stop = true;
  again.join();
  ASSERT_TRUE(log && log->size() == 6);
  for (std::size_t i = 0; i < 6; ++i) {
    const robot::LogEntry& entry = (*log)[i];
    EXPECT_EQ(entry.kind, robot::RunKind::kTrial);
    EXPECT_EQ(entry.index, i);
    EXPECT_EQ(entry.trim, runs[i].trim.value);
    const int side = runs[i].kind == RunKind::kTurn && runs[i].to_the_left ? -1 : 1;
    EXPECT_EQ(entry.left, side * runs[i].level.value);
  }
}

TEST(RobotLink, PlannedTrials_HoldTheAdvisedRunFirstAndATurnToEachSide) {
  const Truing truing = true_robot(knot(), {}).value();
  const auto runs = plan_trials(knot(), truing, 6);
  ASSERT_EQ(runs.size(), 6U);
  EXPECT_EQ(runs[0].trim, truing.next_run->trim);
  EXPECT_EQ(runs[4].kind, RunKind::kTurn);
  EXPECT_TRUE(runs[4].to_the_left);
  EXPECT_FALSE(runs[5].to_the_left);
  for (int count = 1; count <= robot::kMostTrials; ++count)
    EXPECT_EQ(plan_trials(knot(), truing, count).size(), static_cast<std::size_t>(count));
}

TEST(RobotLink, NothingAtTheOtherEnd_SaysWhatToTry) {
  const auto line = PseudoTerminal::open().value();
  auto port = open_serial_port(line->path());
  ASSERT_TRUE(port);
  const LinkOptions hasty{.patience = milliseconds(1), .tries = 2};
  const auto told = RobotLink(**port, hasty).greet();
  ASSERT_FALSE(told);
  EXPECT_EQ(told.error().message,
            "nothing answers on this port; is the robot switched on, and is this its port? A cable "
            "that only charges carries no words: try another");
  line->give(std::vector<std::uint8_t>(50, 'x'));
  const auto other = RobotLink(**port, {.patience = milliseconds(20), .tries = 1}).greet();
  ASSERT_FALSE(other);
  EXPECT_EQ(other.error().message,
            "what comes over this port is no robot's answer, expected a robot with this firmware");
}

TEST(RobotLink, RobotOfAnotherVersion_IsNamed) {
  const auto line = PseudoTerminal::open().value();
  auto port = open_serial_port(line->path());
  ASSERT_TRUE(port);
  std::thread robot([&] {
    robot::LineReader reader;
    std::array<std::uint8_t, robot::kLineBuffer> buffer{};
    robot::LineWriter writer(buffer.data());
    for (int i = 0; i < 100; ++i) {
      for (const std::uint8_t byte : line->take(milliseconds(20))) {
        if (reader.byte(byte) != robot::LineHeard::kFrame) continue;
        const std::uint8_t answer[] = {reader.body()[0], 0x81, 10, 7, 0, 0, 0};
        std::memcpy(writer.body(), answer, sizeof answer);
        writer.start(sizeof answer);
        std::vector<std::uint8_t> said;
        for (std::uint8_t b = 0; writer.next(b);) said.push_back(b);
        line->give(said);
        return;
      }
    }
  });
  const auto told = RobotLink(**port).greet();
  robot.join();
  ASSERT_FALSE(told);
  EXPECT_EQ(told.error().message,
            "the robot speaks version 7 of the line, this program version 1; expected a newer "
            "program");
}

TEST(RobotLink, RefusedPart_SaysWhyAndTheOldOneStays) {
  ServedRobot served;
  auto port = open_serial_port(served.path());
  RobotLink link(**port);
  ASSERT_TRUE(link.greet());
  const auto good = settings_part(knot(), knots_settings()).value();
  ASSERT_TRUE(link.load(robot::Part::kSettings, good));
  auto bad = good;
  bad[2 + robot::kNameSize] = 0;  // full level 0
  EXPECT_EQ(link.load(robot::Part::kSettings, bad).error().message,
            "the robot refuses the settings: a value is out of its range");
  bad.resize(300);
  EXPECT_EQ(link.load(robot::Part::kSettings, bad).error().message,
            "the settings are more than the robot has room for");
  EXPECT_TRUE(link.holds(robot::Part::kSettings, good).value());
}

TEST(SerialPort, UsualTroubles_AreNamedWithWhatToDo) {
  const auto missing = open_serial_port("/dev/ttyNOWHERE");
  ASSERT_FALSE(missing);
  EXPECT_EQ(missing.error().kind, ErrorKind::kNotFound);
  EXPECT_TRUE(missing.error().message.starts_with("there is no such port; "));
  const auto file = open_serial_port("/dev/null");
  ASSERT_FALSE(file);
  EXPECT_TRUE(file.error().message.starts_with("this is not a serial port; "))
      << file.error().message;
  const auto line = PseudoTerminal::open().value();
  const auto first = open_serial_port(line->path());
  ASSERT_TRUE(first);
  const auto second = open_serial_port(line->path());
  ASSERT_FALSE(second);
  EXPECT_EQ(second.error().message,
            "another program has this port; end it, or unplug the robot and plug it in again");
}

TEST(RobotLoad, WhatTheRobotCantKeep_IsNamed) {
  std::vector<CompiledMove> moves(36, {"drive 1 m", 3, {{100}, {100}, 500}, ""});
  EXPECT_EQ(moves_part(moves).error().message,
            "36 moves are more than a robot keeps, expected at most 35");
  moves = {{"drive 9 m", 4, {{100}, {100}, 70000}, ""}};
  const auto long_move = moves_part(moves);
  EXPECT_EQ(long_move.error().message,
            "'drive 9 m' takes 70 s, expected at most 65 s a move on the robot");
  EXPECT_EQ(long_move.error().place.line, 4);
  moves = {{"pause 140 s", 1, {{0}, {0}, 140000}, ""}};
  EXPECT_EQ(moves_part(moves).value().size(), 1U + 3 * sizeof(robot::TimedLevels));
  Robot robot = knot();
  robot.level_full = Level{40000};
  EXPECT_EQ(settings_part(robot, knots_settings()).error().message,
            "level_full is 40000, expected at most 32767 for a robot that is loaded");
}

TEST(RobotLoad, LongNames_AreCutAtAWholeCharacter) {
  EXPECT_EQ(kept_name("Dunlin"), "Dunlin");
  EXPECT_EQ(kept_name("Turnstone the very old"), "Turnstone the ve");
  EXPECT_EQ(kept_name("Rotschenkel-kükü"), "Rotschenkel-kük");
}

}  // namespace
}  // namespace runtrue
