// The built firmware on a simulated chip, loaded over its serial line by the program's own link.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <random>
#include <set>

#include "forecast/forecast.h"
#include "link/robot_link.h"
#include "link/robot_load.h"
#include "link/serial_port.h"
#include "moves/move_list.h"
#include "remote/synthesis.h"
#include "robot/machine.h"
#include "tests/chip/chip_on_line.h"
#include "tests/chip/core_vectors.h"

namespace runtrue {
namespace {

constexpr double kPi = std::numbers::pi;

Robot dunlin() { return default_robot("Dunlin", Length::from_mm(140)); }

DriveSettings dunlins_settings() {
  DriveSettings settings;
  const auto set = [&](Constant c, double v) { settings.mean[static_cast<std::size_t>(c)] = v; };
  set(Constant::kMismatchForward, 0.011);
  set(Constant::kMismatchReverse, -0.02);
  set(Constant::kMismatchByLevel, 0.01);
  set(Constant::kTrimEffect, 0.002);
  set(Constant::kLogSpeedGain, std::log(2.6));
  set(Constant::kDeadBand, 34);
  set(Constant::kLostTimeStraight, 0.055);
  set(Constant::kLogTurnGainLeft, std::log(0.036));
  set(Constant::kLogTurnGainRight, std::log(0.034));
  set(Constant::kLostTimeTurn, 0.07);
  settings.trim = Trim{-6};
  return settings;
}

// Loads the parts over the chip's line, and leaves.
void load(SimulatedChip& chip, const std::vector<std::pair<robot::Part, PartBytes>>& parts) {
  ChipOnLine line(chip);
  auto port = open_serial_port(line.path());
  ASSERT_TRUE(port) << port.error().one_line();
  RobotLink link(**port);
  ASSERT_TRUE(link.greet());
  for (const auto& [part, bytes] : parts) {
    const auto loaded = link.load(part, bytes);
    ASSERT_TRUE(loaded) << loaded.error().one_line();
    EXPECT_TRUE(link.holds(part, bytes).value());
  }
  ASSERT_TRUE(link.leave());
}

PartBytes settings_bytes(const RobotLoadOptions& options = {}) {
  return settings_part(dunlin(), dunlins_settings(), options).value();
}

// Where the motors were on: a stretch of unchanging settings that are not both 0.
struct Stretch {
  MotorSetting setting;
  double ms;
};
std::vector<Stretch> stretches(const std::vector<MotorSetting>& motors, double from_ms) {
  std::vector<Stretch> all;
  for (std::size_t i = 0; i + 1 < motors.size(); ++i) {
    const MotorSetting& m = motors[i];
    if ((m.left == 0 && m.right == 0) || static_cast<double>(m.cycle) < from_ms * kCyclesPerMs) {
      continue;
    }
    all.push_back({m, static_cast<double>(motors[i + 1].cycle - m.cycle) / kCyclesPerMs});
  }
  return all;
}

// The level that a duty stands for before trim acted (robot/output.h); exact, since the chip's PWM
// here has every duty.
int level_of(int duty, int shift) {
  return static_cast<int>(std::lround(duty * 255.0 / (robot::kFullDuty - shift)));
}

constexpr const char* kTwentyMoves = R"(
drive 300 mm
turn left 90 deg
drive 20 cm
turn right 45 deg
reverse 150 mm
bend left 60 deg radius 200 mm
pause 0.4 s
at level 160
drive 250 mm
turn right 120 deg
bend right 90 deg radius 250 mm
reverse 10 cm
at level 110
drive 1.5 s
turn left 30 deg
drive 120 mm
turn left 200 deg
bend left 45 deg radius 300 mm
at level 128
drive 400 mm
turn right 75 deg
reverse 8 cm
turn left 15 deg
drive 90 mm
)";

std::vector<CompiledMove> twenty_moves() {
  const auto flat = flatten(parse_moves(kTwentyMoves, "list").value()).value();
  return compile_moves(flat, dunlin(), dunlins_settings()).value();
}

// A list begun by the go key, to its end.
void run_list(SimulatedChip& chip, const std::vector<CompiledMove>& moves) {
  double ms = robot::kStartWait_ms + 500;
  for (const CompiledMove& move : moves) ms += move.command.milliseconds + 300;
  chip.press(robot::kKeyGo);
  chip.run_ms(ms);
}

TEST(Chip, ListOfTwentyMoves_TakesThePathThatTheForecastSays) {
  const Robot robot = dunlin();
  const DriveSettings settings = dunlins_settings();
  const auto moves = twenty_moves();
  ASSERT_GE(moves.size(), 20U);
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  load(chip, {{robot::Part::kSettings, settings_bytes()},
              {robot::Part::kMoves, moves_part(moves).value()}});
  const double begun_ms = chip.now_ms();
  run_list(chip, moves);
  ASSERT_FALSE(chip.crashed());
  const std::string file = testing::TempDir() + "chip_motors.vcd";
  chip.write_vcd(file);

  Table floor;
  floor.edge = {{Length::from_m(-9), Length::from_m(-9)},
                {Length::from_m(9), Length::from_m(-9)},
                {Length::from_m(9), Length::from_m(9)},
                {Length::from_m(-9), Length::from_m(9)}};
  const auto forecast = forecast_moves(robot, settings, moves, floor, Pose{}, {.samples = 10});
  ASSERT_TRUE(forecast) << forecast.error().one_line();

  const auto driven = stretches(read_motor_vcd(file), begun_ms);
  const int shift = settings.trim.value * robot::kUsualTrimShare;
  Pose pose;
  std::size_t next = 0;
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const WheelCommand& wanted = moves[i].command;
    if (wanted.left.value == 0 && wanted.right.value == 0) continue;
    ASSERT_LT(next, driven.size());
    const Stretch& done = driven[next++];
    EXPECT_NEAR(done.ms, wanted.milliseconds, 1.0) << moves[i].text;  // a tick
    const WheelCommand read{
        {level_of(done.setting.left, shift)}, {level_of(done.setting.right, -shift)}, 0};
    const Motion motion = motion_of(settings.mean, robot, read, settings.trim);
    const Duration counts = std::max(Duration::from_ms(done.ms) - motion.lost, Duration());
    pose = compose(pose, pose_after({motion.speed * counts, motion.turn_rate * counts}));
    const Pose& said = forecast->moves[i].nominal_end;
    EXPECT_NEAR(pose.x.mm(), said.x.mm(), 2.0) << moves[i].text;
    EXPECT_NEAR(pose.y.mm(), said.y.mm(), 2.0) << moves[i].text;
    EXPECT_NEAR(pose.heading.rad() * 180 / kPi, said.heading.rad() * 180 / kPi, 0.5)
        << moves[i].text;
  }
  EXPECT_EQ(next, driven.size());
  EXPECT_LE(std::hypot(pose.x.mm() - forecast->nominal_end.x.mm(),
                       pose.y.mm() - forecast->nominal_end.y.mm()),
            2.0);
}

// What the remote's receiver brings from `from_ms` on.
void plan(SimulatedChip& chip, const SignalOrder& order, double from_ms) {
  const Capture capture = make_signal(order).value();
  double us = from_ms * 1000.0;
  for (const auto& pulse : capture.pulses) {
    chip.plan_edge(pulse.mark, static_cast<std::uint64_t>(us * 16.0));
    us += pulse.duration_us;
  }
}

TEST(Chip, InterruptsDuringPlay_CostNoMoreThanATick) {
  const auto moves = twenty_moves();
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  load(chip, {{robot::Part::kSettings, settings_bytes()},
              {robot::Part::kMoves, moves_part(moves).value()}});
  // Another hand's remote, of every speed of edges there is, all the time.
  for (int i = 0; i < 60; ++i) {
    const auto protocol = i % 2 == 0 ? robot::Protocol::kNec : robot::Protocol::kRc5;
    plan(chip, {.protocol = protocol, .address = 3, .command = 9, .frames = 4},
         chip.now_ms() + 100 + i * 600);
  }
  const double begun_ms = chip.now_ms();
  run_list(chip, moves);
  const auto driven = stretches(chip.motors(), begun_ms);
  std::size_t next = 0;
  for (const CompiledMove& move : moves) {
    if (move.command.left.value == 0 && move.command.right.value == 0) continue;
    ASSERT_LT(next, driven.size());
    EXPECT_NEAR(driven[next++].ms, move.command.milliseconds, 1.0) << move.text;
  }
  EXPECT_EQ(next, driven.size());
}

PartBytes remote_bytes() {
  const robot::MappedKey keys[] = {
      {5, 17, robot::Protocol::kNec, robot::Motion::kDrive},
      {6, 17, robot::Protocol::kNec, robot::Motion::kStop},
      {2, 4, robot::Protocol::kRc5, robot::Motion::kTurnRight},
  };
  PartBytes bytes{robot::kPartVersion};
  const auto* first = reinterpret_cast<const std::uint8_t*>(keys);
  bytes.insert(bytes.end(), first, first + sizeof keys);
  return bytes;
}

TEST(Chip, KeyOfTheRemoteLetGo_StopsWithinTheTimeOut) {
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  load(chip, {{robot::Part::kSettings, settings_bytes({.repeat_period = Duration::from_ms(108)})},
              {robot::Part::kKeys, remote_bytes()}});
  for (const auto protocol : {robot::Protocol::kNec, robot::Protocol::kRc5}) {
    const bool nec = protocol == robot::Protocol::kNec;
    SignalOrder held{.protocol = protocol, .address = nec ? 17U : 4U, .command = nec ? 5U : 2U};
    held.frames = nec ? 1 : 8;
    held.repeat_frames = nec ? 7 : 0;
    const Capture capture = make_signal(held).value();
    const double begun_ms = chip.now_ms() + 10;
    plan(chip, held, begun_ms);
    double last_mark_us = begun_ms * 1000.0, us = last_mark_us;
    for (const auto& pulse : capture.pulses) {
      us += pulse.duration_us;
      if (pulse.mark) last_mark_us = us;
    }
    chip.run_ms(10 + us / 1000.0 - begun_ms + 600);
    const auto driven = stretches(chip.motors(), begun_ms);
    ASSERT_EQ(driven.size(), 1U);  // it never stopped in between
    EXPECT_EQ(driven[0].setting.left > 0, true);
    EXPECT_EQ(driven[0].setting.right > 0, nec);
    const double off_ms =
        static_cast<double>(driven[0].setting.cycle) / kCyclesPerMs + driven[0].ms;
    EXPECT_LE(off_ms - last_mark_us / 1000.0, 250.0);
    EXPECT_GE(off_ms - last_mark_us / 1000.0, 100.0);  // it did ride over what may be lost
  }
}

TEST(Chip, TrimVoltageAndTrials_AreLoggedAndReadBackOverTheLine) {
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  const Truing truing = true_robot(dunlin(), {}).value();
  auto runs = plan_trials(dunlin(), truing, 3);
  auto settings = truing.settings;
  settings.mean[static_cast<std::size_t>(Constant::kLogSpeedGain)] = std::log(6.0);  // short runs
  load(chip, {{robot::Part::kSettings,
               settings_bytes({.trim_from_pot = true, .repeat_period = Duration()})},
              {robot::Part::kTrials, trials_part(dunlin(), settings, runs).value()}});
  for (const unsigned mv : {0U, 2500U, 5000U}) {
    chip.set_trim_mv(mv);
    chip.run_ms(20);
    const std::size_t before = chip.motors().size();
    chip.press(robot::kKeyGo);
    while (!chip.crashed() && (chip.motors().size() < before + 2 || chip.motors_now().left != 0))
      chip.run_ms(50);
    chip.run_ms(400);
  }
  ChipOnLine line(chip);
  auto port = open_serial_port(line.path());
  RobotLink link(**port);
  const auto told = link.greet();
  ASSERT_TRUE(told);
  EXPECT_EQ(told->name, "Dunlin");
  EXPECT_TRUE(told->has_trim_pot && told->measures_battery && told->senses_cable);
  const auto log = link.log();
  ASSERT_TRUE(log && log->size() == 3);
  const int trims[] = {-30, 0, 30};
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ((*log)[i].index, i);
    EXPECT_EQ((*log)[i].ending, robot::Ending::kFinished);
    EXPECT_NEAR((*log)[i].trim, trims[i], i == 1 ? 1 : 0);
    EXPECT_NEAR((*log)[i].battery_mv, 4800, 15);  // a count of the converter is 10 mV
  }
}

TEST(Chip, SupplyCutBehindAnyByteOfASettingsWrite_LeavesAValidCopy) {
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  load(chip, {{robot::Part::kSettings, settings_bytes()}});
  auto other = dunlins_settings();
  other.trim = Trim{21};
  const auto bytes = settings_part(dunlin(), other).value();
  // The memory as a cut behind each byte would leave it, while the link loads.
  std::set<SimulatedChip::Memory> images{chip.eeprom()};
  chip.watch_eeprom([&](const SimulatedChip::Memory& image) { images.insert(image); });
  load(chip, {{robot::Part::kSettings, bytes}});
  chip.watch_eeprom({});
  images.insert(chip.eeprom());
  EXPECT_GE(images.size(), 30U);  // of its bytes those that were not zero in the old one, and more
  bool old_seen = false, new_seen = false;
  for (const auto& image : images) {
    SimulatedChip again(RUNTRUE_FIRMWARE, &image);
    again.run_ms(5);
    ChipOnLine line(again);
    auto port = open_serial_port(line.path());
    RobotLink link(**port);
    ASSERT_EQ(link.greet().value().name, "Dunlin");
    const int trim = link.state().value().trim;
    ASSERT_TRUE(trim == -6 || trim == 21) << trim;
    (trim == -6 ? old_seen : new_seen) = true;
  }
  EXPECT_TRUE(old_seen && new_seen);
}

TEST(Chip, GarbageOnTheLine_TurnsNoMotorAndTheRobotAnswersAfterwards) {
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  const auto moves = twenty_moves();
  load(chip, {{robot::Part::kSettings, settings_bytes()},
              {robot::Part::kMoves, moves_part(moves).value()}});
  std::mt19937 chance(5);
  for (int i = 0; i < 3000; ++i) {
    chip.send(chance() % 8 == 0 ? robot::kLineFlag : static_cast<std::uint8_t>(chance()));
    chip.run_ms(10.0 / 38.4);
  }
  ASSERT_FALSE(chip.crashed());
  EXPECT_TRUE(chip.motors().empty());
  ChipOnLine line(chip);
  auto port = open_serial_port(line.path());
  RobotLink link(**port);
  EXPECT_EQ(link.greet().value().name, "Dunlin");
  EXPECT_TRUE(link.holds(robot::Part::kMoves, moves_part(moves).value()).value());
}

TEST(Chip, CableWhileRunning_StopsWithinAFewTicks) {
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  load(chip, {{robot::Part::kSettings, settings_bytes()},
              {robot::Part::kMoves, moves_part(twenty_moves()).value()}});
  chip.press(robot::kKeyGo);
  chip.run_ms(robot::kStartWait_ms + 100);
  ASSERT_NE(chip.motors_now().left, 0);
  const double plugged_ms = chip.now_ms();
  chip.plug(true);
  chip.run_ms(2000);
  EXPECT_LE(static_cast<double>(chip.motors().back().cycle) / kCyclesPerMs - plugged_ms, 2.0);
  EXPECT_EQ(chip.motors_now().left, 0);
  chip.press(robot::kKeyGo);
  chip.run_ms(2000);
  EXPECT_EQ(chip.motors_now().left, 0);  // loading
}

// Every integer that the core answers to 13,000 random inputs, made by the chip and by this
// computer from the same code (core_vectors.h).
TEST(Chip, HostAndChip_AgreeOnEveryAnswerToRandomInputs) {
  std::vector<std::uint8_t> host;
  robot::tell_vectors([&host](const void* bytes, std::uint8_t size) {
    const auto* first = static_cast<const std::uint8_t*>(bytes);
    host.insert(host.end(), first, first + size);
  });
  SimulatedChip chip(RUNTRUE_CHIP_PROGRAMS "/tests/chip/vectors/vectors.elf");
  std::vector<std::uint8_t> told;
  for (int ms = 0; told.size() < host.size() && !chip.crashed() && ms < 60000; ms += 100) {
    chip.run_ms(100);
    const auto sent = chip.take_sent();
    told.insert(told.end(), sent.begin(), sent.end());
  }
  ASSERT_EQ(told.size(), host.size());
  const auto differs = std::mismatch(told.begin(), told.end(), host.begin()).first;
  EXPECT_TRUE(differs == told.end()) << "first at byte " << differs - told.begin();
  // The inputs reach what they are meant to reach: every mode, and motors of both directions.
  std::set<int> modes, directions;
  const std::size_t first = std::size_t{robot::kOutputVectors} * 4;
  for (std::size_t i = 0; i < robot::kMachineVectors; ++i) {
    const std::uint8_t* answer = host.data() + first + i * 14;
    modes.insert(answer[10]);
    const auto left = static_cast<std::int16_t>(answer[0] | answer[1] << 8);
    directions.insert(left > 0 ? 1 : left < 0 ? -1 : 0);
  }
  EXPECT_EQ(modes.size(), 4U);  // all but the one without settings
  EXPECT_EQ(directions.size(), 3U);
}

TEST(Chip, Stack_KeepsAMargin) {
  SimulatedChip chip(RUNTRUE_FIRMWARE);
  load(chip, {{robot::Part::kSettings, settings_bytes({.repeat_period = Duration::from_ms(108)})},
              {robot::Part::kKeys, remote_bytes()},
              {robot::Part::kMoves, moves_part(twenty_moves()).value()}});
  plan(chip, {.address = 17, .command = 5, .frames = 1, .repeat_frames = 3}, chip.now_ms() + 5);
  chip.run_ms(1500);
  run_list(chip, twenty_moves());
  EXPECT_GE(chip.untouched_ram(), 256);  // a tenth of the RAM
}

}  // namespace
}  // namespace runtrue
