#include "robot/hold_to_drive.h"

#include <gtest/gtest.h>

#include <array>
#include <cstdint>
#include <deque>
#include <string>
#include <unordered_set>
#include <vector>

namespace runtrue::robot {
namespace {

constexpr std::array<RemoteKey, 4> kRc5Keys = {{
    {1, 5, Protocol::kRc5, 0, Motion::kDrive},
    {2, 5, Protocol::kRc5, 0, Motion::kTurnLeft},
    {3, 5, Protocol::kRc5, 0, Motion::kStop},
    {4, 5, Protocol::kRc5, 0, Motion::kLevelUp},
}};
constexpr std::array<RemoteKey, 4> kNecKeys = {{
    {1, 5, Protocol::kNec, 0, Motion::kDrive},
    {2, 5, Protocol::kNec, 0, Motion::kTurnLeft},
    {3, 5, Protocol::kNec, 0, Motion::kStop},
    {4, 5, Protocol::kNec, 0, Motion::kLevelUp},
}};

Frame frame_of(const RemoteKey& key, bool toggle = false) {
  Frame frame = {};
  frame.protocol = key.protocol;
  frame.address = key.address;
  frame.command = key.command;
  frame.toggle = toggle;
  return frame;
}

Frame repeat_frame() {
  Frame frame = {};
  frame.repeat = true;
  return frame;
}

Frame foreign_frame(const RemoteKey& key) {
  Frame frame = frame_of(key);
  frame.address = 77;
  return frame;
}

// Everything that may happen, explored from every state that can be reached, in steps of a small
// clock: any of the inputs at any step, ticks at any phase. Beside the machine goes a record of
// what was heard, kept apart from it; the claims are made on that record.
class Explorer {
 public:
  static constexpr int kTick_steps = 2;
  static constexpr int kTicks = 3;
  static constexpr int kPeriod = 4;
  static constexpr int kWindow = 1;
  static constexpr int kSure = (kTicks - 1) * kTick_steps;  // (N - 1) q
  static constexpr int kNever = kTicks * kTick_steps + 1;   // more than N q ago, or not at all

  explicit Explorer(bool repeats) : keys_(repeats ? kNecKeys : kRc5Keys), repeats_(repeats) {
    inputs_ = {{kNothing, 0, false}, {kForeign, 0, false}};
    for (int key = 0; key < 3; ++key) inputs_.push_back({kWhole, key, false});
    inputs_.push_back(repeats ? Input{kRepeat, 0, false} : Input{kWhole, kDrive, true});
  }

  // The number of states; each was left by every input.
  std::size_t explore() {
    const HoldRules rules = {repeats_ ? std::uint32_t{kPeriod} : 0U, kWindow, kTicks};
    for (int phase = 0; phase < kTick_steps; ++phase) {
      Node node{HoldToDrive(keys_.data(), 4, rules), {}, 0};
      node.record.phase = phase;
      EXPECT_EQ(node.machine.motion(), Motion::kNone) << "moves after a reset";
      add(node);
    }
    while (!todo_.empty() && !testing::Test::HasFailure()) {
      const Node node = todo_.front();
      todo_.pop_front();
      for (const Input& input : inputs_) add(step(node, input));
    }
    return seen_.size();
  }

 private:
  enum Kind { kNothing, kForeign, kWhole, kRepeat };
  static constexpr int kDrive = 0, kTurn = 1, kStop = 2;
  struct Input {
    Kind kind;
    int key;
    bool toggle;
  };
  struct Record {  // steps since; kNever stands for all that is longer ago
    int phase = 0;
    std::array<int, 2> whole{kNever, kNever};    // a whole frame of drive, of turn
    std::array<int, 2> support{kNever, kNever};  // or a repeat at whole periods after the last one
    int stop = kNever;                           // a whole frame of stop
    int stop_lasts = kNever;                     // or a repeat that may be its own
    int off_period = 0;  // steps since the last whole frame of drive or turn, less whole periods
    int off_stop = 0;    // the same of stop
    int reference = -1;  // drive or turn
    int stopped_key = -1;
    bool stopped_toggle = false;
    int stopped = kNever;        // the last frame of the press that was stopped, surely held since
    int stopped_lasts = kNever;  // or maybe held since
  };
  struct Node {
    HoldToDrive machine;
    Record record;
    std::uint32_t now;
  };

  static int moving(const HoldToDrive& machine) {
    return machine.motion() == Motion::kDrive      ? kDrive
           : machine.motion() == Motion::kTurnLeft ? kTurn
                                                   : -1;
  }

  Node step(Node node, const Input& input) {
    Record& record = node.record;
    ++node.now;
    for (int* since : {&record.whole[0], &record.whole[1], &record.support[0], &record.support[1],
                       &record.stop, &record.stop_lasts, &record.stopped, &record.stopped_lasts}) {
      if (*since < kNever) ++*since;
    }
    record.off_period = (record.off_period + 1) % kPeriod;
    record.off_stop = (record.off_stop + 1) % kPeriod;
    record.phase = (record.phase + 1) % kTick_steps;
    const int before = moving(node.machine);
    if (record.phase == 0) node.machine.tick();
    if (input.kind == kForeign) (void)node.machine.frame(foreign_frame(keys_[0]), node.now);
    if (input.kind == kRepeat) hear_repeat(node);
    if (input.kind == kWhole) hear_whole(node, input);
    claim(node, input, before);
    return node;
  }

  static bool is_whole(int off) { return off <= kWindow || off >= kPeriod - kWindow; }

  static void hear_repeat(Node& node) {
    (void)node.machine.frame(repeat_frame(), node.now);
    Record& record = node.record;
    if (is_whole(record.off_period) && record.reference >= 0) {
      record.support[static_cast<std::size_t>(record.reference)] = 0;
    }
    if (is_whole(record.off_stop) && record.stop_lasts < kNever) record.stop_lasts = 0;
  }

  void hear_whole(Node& node, const Input& input) {
    Record& record = node.record;
    const int moved = moving(node.machine);
    const bool toggle = node.machine.state().held.toggle;
    const auto key = static_cast<std::size_t>(input.key);
    (void)node.machine.frame(frame_of(keys_[key], input.toggle), node.now);
    if (input.key != kStop) {
      if (is_stopped(record, input) && record.stopped <= kSure) return;
      record.off_period = 0;
      record.reference = input.key;
      if (!is_stopped(record, input)) record.whole[key] = 0;
      record.support[key] = 0;
      return;
    }
    record.off_stop = 0;
    record.stop = 0;
    record.stop_lasts = 0;
    if (moved < 0) return;
    record.stopped_key = moved;
    record.stopped_toggle = toggle;
    record.stopped = 0;
    record.stopped_lasts = 0;
  }

  [[nodiscard]] bool is_stopped(const Record& record, const Input& input) const {
    return !repeats_ && input.key == record.stopped_key && input.toggle == record.stopped_toggle &&
           record.stopped_lasts < kNever;
  }

  void claim(Node& node, const Input& input, int before) {
    Record& record = node.record;
    const int now = moving(node.machine);
    if (now >= 0) {
      EXPECT_LT(record.support[static_cast<std::size_t>(now)], kNever) << "runs on";
    }
    if (now >= 0 && now != before) {
      EXPECT_TRUE(input.kind == kWhole && input.key == now) << "started by something else";
    }
    if (record.stop <= kSure) {
      EXPECT_EQ(now, -1) << "drives though stopped";
    }
    if (before >= 0 && now != before && input.kind != kWhole) {
      EXPECT_GT(record.whole[static_cast<std::size_t>(before)], kSure) << "stutters";
    }
    if (input.kind != kWhole || input.key == kStop) return;
    if (!is_stopped(record, input)) {
      if (record.stop_lasts == kNever) {
        EXPECT_EQ(now, input.key) << "a new press does not drive";
      }
      return;
    }
    if (record.stopped <= kSure && before != input.key) {
      EXPECT_NE(now, input.key) << "a stopped press drives again";
    }
    record.stopped = record.stopped <= kSure ? 0 : kNever;
    record.stopped_lasts = 0;
  }

  // What tells two states apart, with times as distances from now.
  void add(const Node& node) {
    const auto& state = node.machine.state();
    const Record& record = node.record;
    const auto distance = [&node](const HoldToDrive::Repeats& repeats) {
      return repeats.left == 0 ? 0 : static_cast<int>(node.now - repeats.due_us);
    };
    const std::array<int, 23> values = {
        state.held.key,     state.held.left,
        state.held.toggle,  state.stopped.key,
        state.stopped.left, state.stopped.toggle,
        state.own.left,     distance(state.own),
        state.foreign.left, distance(state.foreign),
        record.phase,       record.whole[0],
        record.whole[1],    record.support[0],
        record.support[1],  record.stop,
        record.stop_lasts,  record.off_period,
        record.reference,   record.stopped_key * 2 + record.stopped_toggle,
        record.stopped,     record.stopped_lasts,
        record.off_stop};
    std::string packed;
    for (const int value : values) packed += static_cast<char>(value);
    if (seen_.insert(std::move(packed)).second) todo_.push_back(node);
  }

  std::array<RemoteKey, 4> keys_;
  bool repeats_;
  std::vector<Input> inputs_;
  std::unordered_set<std::string> seen_;
  std::deque<Node> todo_;
};

TEST(HoldToDrive, WholeFramesWithToggle_EveryReachableStateKeepsTheClaims) {
  const std::size_t states = Explorer(false).explore();
  EXPECT_GT(states, 10'000U);
  RecordProperty("states", static_cast<int>(states));
}

TEST(HoldToDrive, RepeatFramesWithoutAddress_EveryReachableStateKeepsTheClaims) {
  const std::size_t states = Explorer(true).explore();
  EXPECT_GT(states, 10'000U);
  RecordProperty("states", static_cast<int>(states));
}

constexpr std::uint32_t kPeriod_us = 108'000;

// Holds key `key` of a remote with repeat frames: the whole frame, then repeats at `period_us` from
// `first_us` up to `last_us`, ticks of 125 ms between; answers how long it was still driving.
std::uint32_t drives_until(HoldToDrive& machine, std::uint32_t first_us, std::uint32_t period_us,
                           std::uint32_t last_us, std::uint32_t end_us) {
  std::uint32_t until = 0;
  std::uint32_t due = first_us;
  for (std::uint32_t now = 0; now < end_us; now += 500) {
    if (now % 125'000 == 0) machine.tick();
    if (now >= due && due <= last_us) {
      (void)machine.frame(repeat_frame(), due);
      due += period_us;
    }
    if (machine.motion() != Motion::kNone) until = now;
  }
  return until;
}

TEST(HoldToDrive, OwnRepeats_KeepItDrivingUntilTheTimeOutAfterTheLast) {
  HoldToDrive machine(kNecKeys.data(), 4, {kPeriod_us, kRepeatWindow_us, 3});
  EXPECT_EQ(machine.frame(frame_of(kNecKeys[0]), 0), Motion::kDrive);
  const std::uint32_t last = 20 * kPeriod_us + 100;
  const std::uint32_t until = drives_until(machine, kPeriod_us + 100, kPeriod_us, last, 5'000'000);
  EXPECT_GT(until, last + 250'000);
  EXPECT_LE(until, last + 375'000);
}

TEST(HoldToDrive, AnotherHandsRepeats_DoNotKeepItDriving) {
  for (std::uint32_t off = 5'000; off < 104'000; off += 1'000) {
    HoldToDrive machine(kNecKeys.data(), 4, {kPeriod_us, kRepeatWindow_us, 3});
    (void)machine.frame(frame_of(kNecKeys[0]), 0);
    EXPECT_LE(drives_until(machine, off, kPeriod_us, 3'000'000, 3'000'000), 375'000U) << off;
  }
}

// Its whole frame told the period, so its repeats are known for what they are even where they fall
// together with this robot's own.
TEST(HoldToDrive, ForeignPressInStep_IsNotTakenForItsOwn) {
  HoldToDrive machine(kNecKeys.data(), 4, {kPeriod_us, kRepeatWindow_us, 3});
  (void)machine.frame(frame_of(kNecKeys[0]), 0);
  (void)machine.frame(foreign_frame(kNecKeys[0]), kPeriod_us + 1'000);
  EXPECT_LE(drives_until(machine, 2 * kPeriod_us + 1'000, kPeriod_us, 3'000'000, 3'000'000),
            375'000U);
}

TEST(HoldToDrive, CounterThatWrapsAround_MakesNoDifference) {
  HoldToDrive machine(kNecKeys.data(), 4, {kPeriod_us, kRepeatWindow_us, 2});
  const std::uint32_t start = 0U - 3 * kPeriod_us / 2;
  (void)machine.frame(frame_of(kNecKeys[0]), start);
  for (std::uint32_t i = 1; i < 5; ++i) {
    machine.tick();
    (void)machine.frame(repeat_frame(), start + i * kPeriod_us);
    EXPECT_EQ(machine.motion(), Motion::kDrive) << i;
  }
}

TEST(HoldToDrive, KeysThatAreNoHold_AreToldOnceForEachPressAndDriveNothing) {
  HoldToDrive machine(kRc5Keys.data(), 4, {0, kRepeatWindow_us, 3});
  EXPECT_EQ(machine.frame(frame_of(kRc5Keys[3], false), 0), Motion::kLevelUp);
  EXPECT_EQ(machine.frame(frame_of(kRc5Keys[3], false), 113'800), Motion::kNone);
  EXPECT_EQ(machine.frame(frame_of(kRc5Keys[3], true), 300'000), Motion::kLevelUp);
  EXPECT_EQ(machine.motion(), Motion::kNone);
}

TEST(HoldToDrive, StandStill_StopsAHeldKeyUntilItIsLetGo) {
  HoldToDrive machine(kRc5Keys.data(), 4, {0, kRepeatWindow_us, 3});
  (void)machine.frame(frame_of(kRc5Keys[0]), 0);
  machine.stand_still();
  EXPECT_EQ(machine.motion(), Motion::kNone);
  EXPECT_EQ(machine.frame(frame_of(kRc5Keys[0]), 113'800), Motion::kNone);
  EXPECT_EQ(machine.motion(), Motion::kNone);
  EXPECT_EQ(machine.frame(frame_of(kRc5Keys[0], true), 400'000), Motion::kDrive);
}

TEST(HoldToDrive, KeyOfAnotherFormOfTheProtocol_IsNotItsOwn) {
  HoldToDrive machine(kRc5Keys.data(), 4, {0, kRepeatWindow_us, 3});
  Frame frame = frame_of(kRc5Keys[0]);
  frame.protocol = Protocol::kRc5x;
  EXPECT_EQ(machine.frame(frame, 0), Motion::kNone);
  frame = frame_of(kRc5Keys[0]);
  frame.extended = 1;
  EXPECT_EQ(machine.frame(frame, 0), Motion::kNone);
  EXPECT_EQ(machine.motion(), Motion::kNone);
}

}  // namespace
}  // namespace runtrue::robot
