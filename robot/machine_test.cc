#include "robot/machine.h"

#include <gtest/gtest.h>

#include <array>
#include <cstring>
#include <memory>
#include <random>
#include <vector>

#include "robot/fcs16.h"
#include "robot/test_memory.h"

namespace runtrue {
namespace robot {
namespace {

using Bytes = std::vector<uint8_t>;

template <class T>
Bytes bytes_of(const T& value) {
  const auto* first = reinterpret_cast<const uint8_t*>(&value);
  return {first, first + sizeof value};
}

Bytes operator+(Bytes a, const Bytes& b) {
  a.insert(a.end(), b.begin(), b.end());
  return a;
}

Settings settings() {
  Settings s = {};
  s.version = kPartVersion;
  std::memcpy(s.name, "Knot", 4);
  s.full_level = 255;
  s.usual_level = 128;
  s.trim = 6;
  s.trim_lowest = -30;
  s.trim_highest = 30;
  s.trim_share = 16;
  s.forward_ms = 700;
  s.back_ms = 600;
  s.left_ms = 400;
  s.right_ms = 410;
  s.rest_ms = 200;
  s.hold_timeout_ms = 250;
  s.longest_run_s = 20;
  return s;
}

// One machine with its memory and what it senses, a millisecond at a time.
class Bench {
 public:
  explicit Bench(uint8_t capabilities = kSensesCable) : capabilities_(capabilities) { reset(); }

  void reset() {
    machine_ = std::make_unique<Machine>(memory_.memory(), capabilities_);
    ticks(kKeySteady_ms + 2);
  }
  Machine& machine() { return *machine_; }
  TestMemory& memory() { return memory_; }
  Sensed sensed = {};

  void ticks(int count) {
    for (int i = 0; i < count; ++i) {
      machine_->tick(sensed);
      const bool on = machine_->duties().left != 0 || machine_->duties().right != 0;
      on_ms_ += on ? 1 : 0;
      // Claimed at every tick of every test: motors turn in these two modes alone, and a port is
      // told when they end.
      const Mode mode = machine_->mode();
      ASSERT_TRUE(!on || mode == Mode::kRunning || mode == Mode::kDriving);
      ASSERT_EQ(on, machine_->off_after_ms() > 0);
    }
  }
  int take_on_ms() {
    const int ms = on_ms_;
    on_ms_ = 0;
    return ms;
  }
  void press(uint8_t key, int ms = 60) {
    sensed.keys = key;
    ticks(ms);
    sensed.keys = 0;
    ticks(kKeySteady_ms + 2);
  }

  // A question and its answer: status and payload; nothing if none came.
  Bytes ask(Ask ask, const Bytes& payload = {}) {
    send(Bytes{tag_++, static_cast<uint8_t>(ask)} + payload);
    Bytes answer = heard();
    if (answer.size() < kAnswerHead) return {};
    EXPECT_EQ(answer[0], static_cast<uint8_t>(tag_ - 1));
    EXPECT_EQ(answer[1], static_cast<uint8_t>(ask) | kAnswerBit);
    answer.erase(answer.begin(), answer.begin() + 2);
    return answer;
  }
  Status status(Ask what, const Bytes& payload = {}) {
    const Bytes answer = ask(what, payload);
    return answer.empty() ? static_cast<Status>(0xFF) : static_cast<Status>(answer[0]);
  }
  void send(const Bytes& body) {
    std::array<std::uint8_t, kLineBuffer> buffer{};
    LineWriter writer(buffer.data());
    std::memcpy(writer.body(), body.data(), body.size());
    writer.start(static_cast<uint8_t>(body.size()));
    for (uint8_t byte = 0; writer.next(byte);) machine_->take_byte(byte);
  }
  Bytes heard() {
    LineReader reader;
    Bytes body;
    for (uint8_t byte = 0; machine_->next_byte(byte);) {
      if (reader.byte(byte) == LineHeard::kFrame)
        body.assign(reader.body(), reader.body() + reader.size());
    }
    return body;
  }

  void load(Part part, const Bytes& bytes) {
    const auto p = static_cast<uint8_t>(part);
    const auto length = static_cast<uint16_t>(bytes.size());
    ASSERT_EQ(status(Ask::kGreet, {kProtocolVersion}), Status::kDone);
    ASSERT_EQ(status(Ask::kBegin, Bytes{p} + bytes_of(length)), Status::kDone);
    for (uint16_t at = 0; at < length; at = static_cast<uint16_t>(at + kMostData)) {
      const auto end = std::min<std::size_t>(bytes.size(), at + kMostData);
      const Bytes some(bytes.begin() + at, bytes.begin() + static_cast<long>(end));
      ASSERT_EQ(status(Ask::kData, Bytes{p} + bytes_of(at) + some), Status::kDone);
    }
    const uint16_t fcs = fcs16(bytes.data(), length);
    ASSERT_EQ(status(Ask::kCommit, Bytes{p} + bytes_of(length) + bytes_of(fcs)), Status::kDone);
    ASSERT_EQ(status(Ask::kLeave), Status::kDone);
  }
  void load_settings(const Settings& s = settings()) { load(Part::kSettings, bytes_of(s)); }
  void load_moves(const std::vector<TimedLevels>& moves) {
    Bytes bytes{kPartVersion};
    for (const TimedLevels& move : moves) bytes = bytes + bytes_of(move);
    load(Part::kMoves, bytes);
  }
  void load_trials(const std::vector<Trial>& trials) {
    Bytes bytes{kPartVersion};
    for (const Trial& trial : trials) bytes = bytes + bytes_of(trial);
    load(Part::kTrials, bytes);
  }
  LogEntry last_entry() {
    LogEntry entry = {};
    EXPECT_TRUE(machine().log().entry(static_cast<uint8_t>(machine().log().count() - 1), entry));
    return entry;
  }

 private:
  uint8_t capabilities_;
  TestMemory memory_;
  std::unique_ptr<Machine> machine_;
  int on_ms_ = 0;
  uint8_t tag_ = 1;
};

TEST(Machine, NewRobot_DoesNothingOnAnyKey) {
  Bench bench;
  EXPECT_EQ(bench.machine().mode(), Mode::kNoSettings);
  for (const uint8_t key : {kKeyForward, kKeyGo, kKeyLeft}) bench.press(key);
  bench.press(kKeyGo);
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 0);
  EXPECT_EQ(bench.machine().presses().count(), 0);
}

TEST(Machine, KeyedInPresses_RunForTheirMillisecondsWithRestsBetween) {
  Bench bench;
  bench.load_settings();
  bench.press(kKeyForward);
  bench.press(kKeyLeft);
  EXPECT_EQ(bench.machine().presses().count(), 2);
  bench.press(kKeyGo);
  EXPECT_EQ(bench.machine().mode(), Mode::kRunning);
  EXPECT_EQ(bench.take_on_ms(), 0);  // the hand may go first
  bench.ticks(kStartWait_ms - kKeySteady_ms - 2 + 30);
  const OutputRules rules{255, 16};
  EXPECT_EQ(bench.machine().duties().left, put_out(128, 128, 6, rules).left);
  EXPECT_EQ(bench.machine().duties().right, put_out(128, 128, 6, rules).right);
  bench.ticks(700 + 100);
  EXPECT_EQ(bench.machine().duties().left, 0);  // rests
  EXPECT_EQ(bench.take_on_ms(), 700);
  bench.ticks(200);
  EXPECT_LT(bench.machine().duties().left, 0);
  EXPECT_GT(bench.machine().duties().right, 0);
  bench.ticks(1000);
  EXPECT_EQ(bench.take_on_ms(), 400);
  EXPECT_EQ(bench.machine().mode(), Mode::kReady);
  const LogEntry entry = bench.last_entry();
  EXPECT_EQ(entry.kind, RunKind::kPressList);
  EXPECT_EQ(entry.ending, Ending::kFinished);
  EXPECT_EQ(entry.on_ms, 1100U);
  EXPECT_EQ(entry.trim, 6);
}

TEST(Machine, LoadedList_RunsEachMoveExactlyAndPausesStandStill) {
  Bench bench;
  bench.load_settings();
  bench.load_moves({{128, 128, 333}, {0, 0, 500}, {-100, 100, 250}, {200, 180, 1}});
  bench.press(kKeyGo);
  bench.ticks(4000);
  EXPECT_EQ(bench.take_on_ms(), 333 + 250 + 1);
  EXPECT_EQ(bench.last_entry().kind, RunKind::kMoveList);
  EXPECT_EQ(bench.last_entry().index, 4);
}

TEST(Machine, GoHeldForTwoSeconds_ClearsThePressesAndStartsNothing) {
  Bench bench;
  bench.load_settings();
  bench.press(kKeyBack);
  bench.press(kKeyGo, kClearHold_ms + 100);
  EXPECT_EQ(bench.machine().presses().count(), 0);
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 0);
}

TEST(Machine, KeyHeldSinceReset_StartsNothing) {
  Bench bench;
  bench.load_settings();
  bench.load_moves({{128, 128, 500}});
  bench.sensed.keys = kKeyGo;
  bench.reset();
  bench.ticks(200);
  bench.sensed.keys = 0;
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 0);
  EXPECT_EQ(bench.machine().log().count(), 0);
}

TEST(Machine, WhateverHappensWhileItRuns_StopsIt) {
  struct Case {
    const char* what;
    void (*happens)(Bench&);
    Ending ending;
    int within_ms;
  };
  const Case cases[] = {
      {"a key", [](Bench& b) { b.sensed.keys = kKeyLeft; }, Ending::kKey, kKeySteady_ms + 1},
      {"the go key", [](Bench& b) { b.sensed.keys = kKeyGo; }, Ending::kKey, kKeySteady_ms + 1},
      {"the cable", [](Bench& b) { b.sensed.cable = true; }, Ending::kLine, 1},
      {"a question", [](Bench& b) { (void)b.ask(Ask::kState); }, Ending::kLine, 1},
      {"an unknown question", [](Bench& b) { (void)b.ask(static_cast<Ask>(99)); }, Ending::kLine,
       1},
      {"a broken frame",
       [](Bench& b) {
         for (const uint8_t byte : Bytes{0x7E, 0x01, 0x02, 0x03, 0x7E}) b.machine().take_byte(byte);
       },
       Ending::kLine, 1},
      {"a low battery", [](Bench& b) { b.sensed.battery_mv = 3000; }, Ending::kBattery,
       kBatteryDip_ms + 1},
  };
  for (const Case& c : cases) {
    SCOPED_TRACE(c.what);
    Bench bench;
    Settings s = settings();
    s.lowest_battery_mv = 3300;
    bench.load_settings(s);
    bench.load_moves({{128, 128, 5000}});
    bench.sensed.battery_mv = 4800;
    bench.press(kKeyGo);
    bench.ticks(1500);
    ASSERT_EQ(bench.machine().mode(), Mode::kRunning);
    (void)bench.take_on_ms();
    c.happens(bench);
    bench.ticks(c.within_ms);
    (void)bench.take_on_ms();
    bench.ticks(50);
    EXPECT_EQ(bench.take_on_ms(), 0);
    EXPECT_EQ(bench.last_entry().ending, c.ending);
    EXPECT_EQ(bench.last_entry().battery_mv, 4800);
    bench.sensed = {};  // and letting the key go starts nothing
    bench.ticks(3000);
    EXPECT_EQ(bench.take_on_ms(), 0);
  }
}

TEST(Machine, TimeLimit_EndsAListThatWouldRunLonger) {
  Bench bench;
  Settings s = settings();
  s.longest_run_s = 3;
  bench.load_settings(s);
  bench.load_moves({{128, 128, 60000}});
  bench.press(kKeyGo);
  bench.ticks(10000);
  EXPECT_EQ(bench.take_on_ms(), 3000 - kStartWait_ms);
  EXPECT_EQ(bench.last_entry().ending, Ending::kTimeLimit);
}

TEST(Machine, LowBattery_StartsNothing) {
  Bench bench;
  Settings s = settings();
  s.lowest_battery_mv = 4000;
  bench.load_settings(s);
  bench.load_moves({{128, 128, 500}});
  bench.sensed.battery_mv = 3999;
  bench.press(kKeyGo);
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 0);
  EXPECT_EQ(bench.last_entry().ending, Ending::kBattery);
}

TEST(Machine, Trials_AreSteppedByTheGoKeyAndLoggedAsTheyRan) {
  Bench bench;
  bench.load_settings();
  bench.load_moves({{50, 50, 100}});
  bench.load_trials({{{128, 128, 1200}, -4}, {{128, 128, 900}, 8}, {{-128, 128, 600}, 8}});
  bench.press(kKeyGo);
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 1200);
  EXPECT_EQ(bench.last_entry().trim, -4);
  bench.reset();  // switched off and on between two trials
  bench.press(kKeyGo);
  bench.ticks(1300);
  bench.press(kKeyForward);  // stopped: it is to be made again
  EXPECT_EQ(bench.last_entry().ending, Ending::kKey);
  EXPECT_EQ(bench.last_entry().index, 1);
  (void)bench.take_on_ms();
  for (const int on_ms : {900, 600, 100}) {  // the last is the loaded list: no trial is left
    bench.press(kKeyGo);
    bench.ticks(3000);
    EXPECT_EQ(bench.take_on_ms(), on_ms);
  }
  EXPECT_EQ(bench.last_entry().kind, RunKind::kMoveList);
  const StateAnswer expected = {6, 0, 3, 3, 5, 0};
  ASSERT_EQ(bench.status(Ask::kGreet, {kProtocolVersion}), Status::kDone);
  EXPECT_EQ(bench.ask(Ask::kState), Bytes{0} + bytes_of(expected));
}

TEST(Machine, TrimPotentiometer_IsReadWhenARunBegins) {
  Bench bench(kHasTrimPot);
  Settings s = settings();
  s.flags = kTrimFromPot;
  bench.load_settings(s);
  bench.load_trials({{{128, 128, 500}, 3}});
  bench.sensed.trim_pot = 0;
  bench.ticks(1);
  EXPECT_EQ(bench.machine().trim_now(), -30);
  bench.sensed.trim_pot = kPotFull;
  bench.ticks(1);
  EXPECT_EQ(bench.machine().trim_now(), 30);
  bench.sensed.trim_pot = 700;  // -30 + 60·700/1023 = 11.06
  bench.press(kKeyGo);
  bench.sensed.trim_pot = 0;  // turned while it runs: the run keeps what it began with
  bench.ticks(2500);
  EXPECT_EQ(bench.last_entry().trim, 11);
}

// A NEC frame [Nec95, p. 14] or its repeat on the receiver, from `start_us` on.
void hear_nec(Machine& machine, uint32_t start_us, uint8_t address, uint8_t command, bool repeat) {
  uint32_t at = start_us;
  const auto pulse = [&](uint32_t mark_us, uint32_t space_us) {
    machine.edge(true, at);
    machine.edge(false, at + mark_us);
    at += mark_us + space_us;
  };
  pulse(9000, repeat ? 2250 : 4500);
  const uint32_t word = address | (address ^ 0xFFU) << 8 | static_cast<uint32_t>(command) << 16 |
                        static_cast<uint32_t>(command ^ 0xFF) << 24;
  for (int bit = 0; !repeat && bit < 32; ++bit) pulse(562, (word >> bit & 1U) != 0 ? 1687 : 562);
  pulse(562, 0);
}

// Presses a key of the remote for so many frames, 108 ms apart, while the robot's time passes.
void hold_key(Bench& bench, uint32_t& now_ms, uint8_t command, int frames) {
  for (int i = 0; i < frames; ++i) {
    hear_nec(bench.machine(), now_ms * 1000, 7, command, i > 0);
    for (int ms = 0; ms < 108; ++ms) {
      bench.ticks(1);
      bench.machine().silence(++now_ms * 1000);
    }
  }
}

Bytes remote_keys() {
  const MappedKey keys[] = {{1, 7, Protocol::kNec, Motion::kDrive},
                            {2, 7, Protocol::kNec, Motion::kTurnLeft},
                            {3, 7, Protocol::kNec, Motion::kStop},
                            {4, 7, Protocol::kNec, Motion::kRunList}};
  return Bytes{kPartVersion} + bytes_of(keys);
}

Settings settings_with_remote() {
  Settings s = settings();
  s.repeat_period_us = 108000;
  s.repeat_window_us = kRepeatWindow_us;
  return s;
}

TEST(Machine, HeldKeyOfTheRemote_DrivesAndRunsOnNoLongerThanTheTimeOut) {
  Bench bench;
  bench.load_settings(settings_with_remote());
  bench.load(Part::kKeys, remote_keys());
  uint32_t now_ms = 1000;
  hold_key(bench, now_ms, 1, 5);
  EXPECT_EQ(bench.machine().mode(), Mode::kDriving);
  EXPECT_GT(bench.machine().duties().left, 0);
  (void)bench.take_on_ms();
  bench.ticks(1000);
  // The last frame, a repeat, ended about 96 ms before the key was let go here.
  EXPECT_LE(bench.take_on_ms(), 250 - 90);
  EXPECT_EQ(bench.machine().mode(), Mode::kReady);
  hold_key(bench, now_ms, 2, 1);
  EXPECT_LT(bench.machine().duties().left, 0);
  hold_key(bench, now_ms, 3, 1);
  EXPECT_EQ(bench.machine().duties().left, 0);
}

TEST(Machine, RemoteWhileAListRuns_StopsItAndDrivesNothingItself) {
  Bench bench;
  bench.load_settings(settings_with_remote());
  bench.load(Part::kKeys, remote_keys());
  bench.load_moves({{128, 128, 5000}});
  uint32_t now_ms = 1000;
  hold_key(bench, now_ms, 4, 1);
  bench.ticks(1500);
  now_ms += 1500;
  ASSERT_EQ(bench.machine().mode(), Mode::kRunning);
  hear_nec(bench.machine(), now_ms * 1000, 7, 1, false);
  bench.machine().silence((now_ms + 100) * 1000);
  (void)bench.take_on_ms();
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 0);
  EXPECT_EQ(bench.last_entry().ending, Ending::kRemote);
}

TEST(Machine, RemoteWhileLoadingOrOfAnotherHand_MovesNothing) {
  Bench bench;
  bench.load_settings(settings_with_remote());
  bench.load(Part::kKeys, remote_keys());
  uint32_t now_ms = 1000;
  hold_key(bench, now_ms, 77, 3);
  ASSERT_EQ(bench.status(Ask::kGreet, {kProtocolVersion}), Status::kDone);
  hold_key(bench, now_ms, 1, 3);
  EXPECT_EQ(bench.take_on_ms(), 0);
  ASSERT_EQ(bench.status(Ask::kLeave), Status::kDone);
  hold_key(bench, now_ms, 1, 3);
  EXPECT_GT(bench.take_on_ms(), 0);
  bench.sensed.keys = kKeyBack;  // a key of the robot stops it, and the held remote goes on in vain
  hold_key(bench, now_ms, 9, 1);
  (void)bench.take_on_ms();
  bench.ticks(1000);
  EXPECT_EQ(bench.take_on_ms(), 0);
}

TEST(Machine, WithoutGreeting_NothingIsAnsweredOrChanged) {
  Bench bench;
  for (int ask = 0; ask < 128; ++ask) {
    if (ask == static_cast<int>(Ask::kGreet)) continue;
    EXPECT_EQ(bench.status(static_cast<Ask>(ask), {0, 46, 0}), Status::kNotGreeted);
  }
  EXPECT_EQ(bench.status(Ask::kGreet, {kProtocolVersion + 1}), Status::kWrongVersion);
  EXPECT_EQ(bench.status(Ask::kState), Status::kNotGreeted);
  EXPECT_EQ(bench.memory().writes(), 0);
}

TEST(Machine, Loading_TurnsNoMotorTillItIsLeft) {
  Bench bench;
  bench.load_settings();
  bench.load_moves({{128, 128, 500}});
  ASSERT_EQ(bench.status(Ask::kGreet, {kProtocolVersion}), Status::kDone);
  bench.press(kKeyGo);
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 0);
  bench.sensed.cable = true;  // pulling it leaves loading too
  bench.ticks(10);
  bench.sensed.cable = false;
  bench.ticks(10);
  bench.press(kKeyGo);
  bench.ticks(3000);
  EXPECT_EQ(bench.take_on_ms(), 500);
}

TEST(Machine, WrongQuestions_GetTheirStatus) {
  Bench bench;
  ASSERT_EQ(bench.status(Ask::kGreet, {kProtocolVersion}), Status::kDone);
  struct Case {
    Ask ask;
    Bytes payload;
    Status status;
  };
  const Case cases[] = {
      {static_cast<Ask>(0), {}, Status::kUnknown},
      {static_cast<Ask>(77), {1, 2}, Status::kUnknown},
      {Ask::kGreet, {}, Status::kWrongSize},
      {Ask::kBegin, {}, Status::kWrongSize},
      {Ask::kBegin, {0, 1}, Status::kWrongSize},
      {Ask::kBegin, {0, 1, 0, 0}, Status::kWrongSize},
      {Ask::kBegin, {kParts, 1, 0}, Status::kNoSuchPart},
      {Ask::kBegin, {1, 0xFF, 0xFF}, Status::kTooLong},
      {Ask::kData, {0, 0, 0, 1}, Status::kNotBegun},
      {Ask::kCommit, {0, 46, 0, 1, 1}, Status::kNotBegun},
      {Ask::kCommit, {0, 46, 0, 1}, Status::kWrongSize},
      {Ask::kPart, {0}, Status::kNothing},
      {Ask::kPart, {9}, Status::kNoSuchPart},
      {Ask::kLog, {0}, Status::kNothing},
      {Ask::kLog, {}, Status::kWrongSize},
  };
  for (const Case& c : cases) {
    EXPECT_EQ(bench.status(c.ask, c.payload), c.status)
        << static_cast<int>(c.ask) << " with " << c.payload.size();
  }
  bench.send({1});  // too short for a question
  bench.send({1, kAnswerBit | 1});
  EXPECT_TRUE(bench.heard().empty());
}

TEST(Machine, GarbageOnTheLineWhileReady_TurnsNoMotor) {
  std::mt19937 chance(11);
  Bench bench;
  bench.load_settings();
  bench.load_moves({{128, 128, 500}});
  for (int i = 0; i < 20000; ++i) {
    // Flags are frequent, so that much of it is taken for frames.
    bench.machine().take_byte(chance() % 8 == 0 ? kLineFlag : static_cast<uint8_t>(chance()));
    for (uint8_t byte = 0; bench.machine().next_byte(byte);) {
    }
    if (i % 10 == 0) bench.ticks(1);
  }
  EXPECT_EQ(bench.take_on_ms(), 0);
  EXPECT_EQ(bench.machine().settings().trim, 6);
}

}  // namespace
}  // namespace robot
}  // namespace runtrue
