#include "robot/store.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstring>
#include <random>
#include <vector>

#include "robot/fcs16.h"
#include "robot/test_memory.h"

namespace runtrue {
namespace robot {
namespace {

using Bytes = std::vector<uint8_t>;

Settings good_settings(int16_t trim) {
  Settings s = {};
  s.version = kPartVersion;
  std::memcpy(s.name, "Dunlin", 6);
  s.full_level = 255;
  s.usual_level = 128;
  s.trim = trim;
  s.trim_lowest = -30;
  s.trim_highest = 30;
  s.trim_share = 16;
  s.forward_ms = s.back_ms = s.left_ms = s.right_ms = 500;
  s.rest_ms = 300;
  s.hold_timeout_ms = 250;
  s.longest_run_s = 60;
  return s;
}

Bytes bytes_of(const Settings& settings) {
  const auto* first = reinterpret_cast<const uint8_t*>(&settings);
  return {first, first + sizeof settings};
}

Status load(Store& store, Part part, const Bytes& bytes) {
  const auto length = static_cast<uint16_t>(bytes.size());
  if (const Status s = store.begin(part, length); s != Status::kDone) return s;
  for (uint16_t place = 0; place < length; place = static_cast<uint16_t>(place + kMostData)) {
    const auto count = static_cast<uint8_t>(std::min<int>(kMostData, length - place));
    if (const Status s = store.data(part, place, bytes.data() + place, count); s != Status::kDone) {
      return s;
    }
  }
  return store.commit(part, length, fcs16(bytes.data(), length));
}

int16_t kept_trim(const Store& store) {
  Settings settings;
  store.item(Part::kSettings, 0, &settings);
  return settings.trim;
}

TEST(Store, NewMemory_HoldsNothing) {
  TestMemory memory;
  const Store store(memory.memory());
  for (uint8_t part = 0; part < kParts; ++part) EXPECT_EQ(store.size(static_cast<Part>(part)), 0);
}

TEST(Store, EachLoad_HoldsAfterwardsAndAfterAReset) {
  TestMemory memory;
  Store store(memory.memory());
  for (int16_t i = 0; i < 300; ++i) {  // more than the sequence counts
    const auto trim = static_cast<int16_t>(i % 30);
    ASSERT_EQ(load(store, Part::kSettings, bytes_of(good_settings(trim))), Status::kDone);
    ASSERT_EQ(kept_trim(store), trim);
    ASSERT_EQ(kept_trim(Store(memory.memory())), trim);
  }
}

TEST(Store, PartsOfFullSize_LieApart) {
  TestMemory memory;
  Store store(memory.memory());
  std::vector<Bytes> kept;
  std::mt19937 chance(3);
  for (int round = 0; round < 2; ++round) {
    kept.clear();
    for (uint8_t p = 0; p < kParts; ++p) {
      const auto part = static_cast<Part>(p);
      Bytes bytes = bytes_of(good_settings(5));
      if (part != Part::kSettings) {
        bytes.assign(most_bytes(part), 0);
        for (uint8_t& byte : bytes) byte = static_cast<uint8_t>(1 + chance() % 7);  // motions, too
        bytes[0] = kPartVersion;
      }
      ASSERT_EQ(load(store, part, bytes), Status::kDone);
      kept.push_back(bytes);
    }
  }
  const Store again(memory.memory());
  for (uint8_t p = 0; p < kParts; ++p) {
    EXPECT_EQ(again.size(static_cast<Part>(p)), kept[p].size());
    EXPECT_EQ(again.fcs(static_cast<Part>(p)),
              fcs16(kept[p].data(), static_cast<uint16_t>(kept[p].size())));
  }
}

TEST(Store, SupplyCutAtAnyWrite_LeavesTheOldOrTheNewSettings) {
  for (const uint8_t torn : Bytes{0x00, 0x0F, 0xFF}) {  // what a torn byte keeps of its old bits
    for (long cut = 0; cut < 200; ++cut) {
      TestMemory memory;
      Store store(memory.memory());
      ASSERT_EQ(load(store, Part::kSettings, bytes_of(good_settings(1))), Status::kDone);
      ASSERT_EQ(load(store, Part::kSettings, bytes_of(good_settings(2))), Status::kDone);
      memory.cut_after(cut, torn);
      const long before = memory.writes();
      (void)load(store, Part::kSettings, bytes_of(good_settings(7)));
      const bool all_written = memory.writes() - before < cut;
      const Store again(memory.memory());
      ASSERT_EQ(again.size(Part::kSettings), sizeof(Settings)) << "cut after " << cut;
      const int16_t trim = kept_trim(again);
      ASSERT_TRUE(trim == 2 || trim == 7) << trim;
      if (all_written) {
        ASSERT_EQ(trim, 7);
        break;
      }
    }
  }
}

TEST(Store, WhatIsNotWhole_IsRefusedAndTheOldOneHolds) {
  TestMemory memory;
  Store store(memory.memory());
  ASSERT_EQ(load(store, Part::kSettings, bytes_of(good_settings(4))), Status::kDone);
  const Bytes bytes = bytes_of(good_settings(9));
  const auto length = static_cast<uint16_t>(bytes.size());
  const uint16_t fcs = fcs16(bytes.data(), length);

  EXPECT_EQ(store.data(Part::kMoves, 0, bytes.data(), 4), Status::kNotBegun);
  EXPECT_EQ(store.commit(Part::kSettings, length, fcs), Status::kNotBegun);
  EXPECT_EQ(store.begin(Part::kMoves, most_bytes(Part::kMoves) + 1), Status::kTooLong);
  EXPECT_EQ(store.begin(Part::kMoves, 0), Status::kWrongSize);
  ASSERT_EQ(store.begin(Part::kSettings, length), Status::kDone);
  EXPECT_EQ(store.data(Part::kSettings, 46, bytes.data(), 7), Status::kTooLong);
  EXPECT_EQ(store.data(Part::kSettings, 0xFFFF, bytes.data(), 2), Status::kTooLong);
  ASSERT_EQ(store.data(Part::kSettings, 0, bytes.data(), 20), Status::kDone);
  EXPECT_EQ(store.commit(Part::kSettings, length, fcs), Status::kWrongCheck);  // half of it
  EXPECT_EQ(kept_trim(store), 4);

  Settings refused = good_settings(31);  // beyond its own limits
  EXPECT_EQ(load(store, Part::kSettings, bytes_of(refused)), Status::kOutOfRange);
  refused = good_settings(0);
  refused.version = kPartVersion + 1;
  EXPECT_EQ(load(store, Part::kSettings, bytes_of(refused)), Status::kWrongVersion);
  EXPECT_EQ(load(store, Part::kSettings, {kPartVersion}), Status::kWrongSize);
  EXPECT_EQ(load(store, Part::kMoves, {kPartVersion, 1, 2}), Status::kWrongSize);
  EXPECT_EQ(load(store, Part::kKeys, {kPartVersion, 0, 0, 0, 0, 0, 0, 0, 200}),
            Status::kOutOfRange);
  EXPECT_EQ(kept_trim(store), 4);
  EXPECT_EQ(store.size(Part::kMoves), 0);
}

TEST(Store, StepsSentTwice_ChangeNothing) {
  TestMemory memory;
  Store store(memory.memory());
  const Bytes bytes = bytes_of(good_settings(9));
  const auto length = static_cast<uint16_t>(bytes.size());
  const uint16_t fcs = fcs16(bytes.data(), length);
  for (int i = 0; i < 2; ++i) ASSERT_EQ(store.begin(Part::kSettings, length), Status::kDone);
  for (uint16_t place = 0; place < length; place = static_cast<uint16_t>(place + 26)) {
    for (int i = 0; i < 2; ++i)
      ASSERT_EQ(store.data(Part::kSettings, place, bytes.data() + place, 26), Status::kDone);
  }
  for (int i = 0; i < 3; ++i) ASSERT_EQ(store.commit(Part::kSettings, length, fcs), Status::kDone);
  EXPECT_EQ(kept_trim(store), 9);
}

TEST(RunLog, MoreRunsThanItKeeps_LeaveTheLastInOrder) {
  TestMemory memory;
  for (uint16_t run = 0; run < 21; ++run) {
    RunLog log(memory.memory());  // as after a reset
    LogEntry entry = {};
    entry.on_ms = run * 1000U;
    log.add(entry);
  }
  const RunLog log(memory.memory());
  ASSERT_EQ(log.count(), kMostLogEntries);
  for (uint8_t i = 0; i < log.count(); ++i) {
    LogEntry entry;
    ASSERT_TRUE(log.entry(i, entry));
    EXPECT_EQ(entry.on_ms, (13U + i) * 1000U);
    EXPECT_EQ(entry.number, 14 + i);
  }
}

TEST(RunLog, SupplyCutWhileAnEntryIsWritten_LosesThatEntryAlone) {
  for (long cut = 0; cut < 22; ++cut) {
    TestMemory memory;
    RunLog log(memory.memory());
    LogEntry entry = {};
    entry.on_ms = 0x01010101;
    for (int i = 0; i < 9; ++i) log.add(entry);  // the ring is full and the slot is an old one
    memory.cut_after(cut, 0x00);
    entry.on_ms = 0x02020202;
    entry.trim = 0x0303;
    log.add(entry);
    const RunLog again(memory.memory());
    ASSERT_GE(again.count(), kMostLogEntries - 1) << cut;
    ASSERT_TRUE(again.entry(static_cast<uint8_t>(again.count() - 1), entry));
    ASSERT_TRUE(entry.number == 9 || entry.number == 10) << entry.number;
  }
}

TEST(PressRecorder, Presses_OutlastAResetAndStopAtTheLimit) {
  TestMemory memory;
  PressRecorder recorder(memory.memory());
  EXPECT_EQ(recorder.count(), 0);
  for (int i = 0; i < kMostPresses + 3; ++i) recorder.add(static_cast<Press>(i * 7 % 4));
  const PressRecorder again(memory.memory());
  ASSERT_EQ(again.count(), kMostPresses);
  for (uint8_t i = 0; i < again.count(); ++i)
    EXPECT_EQ(again.press(i), static_cast<Press>(i * 7 % 4));
  PressRecorder(memory.memory()).clear();
  EXPECT_EQ(PressRecorder(memory.memory()).count(), 0);
}

}  // namespace
}  // namespace robot
}  // namespace runtrue
