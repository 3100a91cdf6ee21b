#include "remote/learning.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "remote/reading.h"
#include "remote/synthesis.h"

namespace runtrue {
namespace {

using Bits = std::string;

// A made-up remote: a header of 6 and 3 ms, bits by pulse distance of 400 and 1200, every 80 ms.
Capture presses(const Bits& bits, int frames, double stretch_us = 0, double clock = 1) {
  Capture capture;
  const auto put = [&](bool mark, double us) {
    capture.pulses.push_back({mark, us * clock + (mark ? stretch_us : -stretch_us)});
  };
  put(false, 40'000);
  for (int i = 0; i < frames; ++i) {
    put(true, 6000);
    put(false, 3000);
    for (const char bit : bits) {
      put(true, 400);
      put(false, bit == '1' ? 1200 : 400);
    }
    put(true, 400);
    put(false, 40'000);
  }
  return capture;
}

const Bits kLeft = "101100111010", kRight = "101100111001", kStop = "100000000001";

Result<LearnedRemote> learned() {
  return learn_remote(
      "made up",
      {{"left", presses(kLeft, 3)}, {"right", presses(kRight, 4)}, {"stop", presses(kStop, 3)}});
}

TEST(Learning, PulsesThatRepeat_AreLearnedWithTheirStructure) {
  const auto remote = learned();
  ASSERT_TRUE(remote.has_value()) << remote.error().one_line();
  EXPECT_EQ(remote->structure.coding, Coding::kPulseDistance);
  EXPECT_EQ(remote->structure.header_mark_us, 6000);
  EXPECT_EQ(remote->structure.header_space_us, 3000);
  EXPECT_EQ(remote->structure.bits, 12);
  EXPECT_EQ(remote->keys[0].bits, kLeft);
  EXPECT_EQ(remote->keys[1].trains, 4);
  ASSERT_TRUE(remote->margin_us.has_value());
  EXPECT_EQ(*remote->margin_us, 800);  // a 0 and a 1 change places
}

TEST(Learning, KeysAreToldApart_ThroughStretchClockAndJitter) {
  const auto remote = learned();
  ASSERT_TRUE(remote.has_value());
  std::mt19937_64 random(3);
  for (const double clock : {0.95, 1.0, 1.05}) {
    for (const double stretch : {-130.0, 0.0, 150.0}) {
      for (std::size_t key = 0; key < 3; ++key) {
        const Bits bits[] = {kLeft, kRight, kStop};
        const Capture heard = distort(presses(bits[key], 1, stretch, clock), {0, 0, 90}, random);
        const auto trains = trains_of(heard, false);
        ASSERT_EQ(trains.size(), 1U);
        const auto told = key_of(*remote, trains[0].us);
        ASSERT_TRUE(told.has_value()) << clock << ' ' << stretch;
        EXPECT_EQ(told->key, key);
      }
    }
  }
  EXPECT_FALSE(key_of(*remote, trains_of(presses("111100001111", 1), false)[0].us));
}

TEST(Learning, KeysTooAlike_AreRefused) {
  const auto remote =
      learn_remote("x", {{"left", presses(kLeft, 3)}, {"right", presses(kLeft, 3, 60)}});
  ASSERT_FALSE(remote.has_value());
  EXPECT_NE(remote.error().message.find("the other keys"), std::string::npos);
}

TEST(Learning, PressesThatDoNotRepeat_AreRefused) {
  Capture mixed = presses(kLeft, 1);
  for (const Bits& bits : {kRight, kStop}) {
    const Capture more = presses(bits, 1);
    mixed.pulses.insert(mixed.pulses.end(), more.pulses.begin(), more.pulses.end());
  }
  const auto remote = learn_remote("x", {{"left", mixed}});
  ASSERT_FALSE(remote.has_value());
  EXPECT_NE(remote.error().message.find("left"), std::string::npos);
  EXPECT_FALSE(learn_remote("x", {}));
  EXPECT_FALSE(learn_remote("x", {{"a", presses(kLeft, 3)}, {"a", presses(kStop, 3)}}));
  EXPECT_FALSE(learn_remote("x", {{"a", presses(kLeft, 2)}}));
}

TEST(Learning, CodesThatADecoderReads_AreKeptAsCodes) {
  const auto hold = [](std::uint32_t command) {
    return *make_signal({.address = 0x40, .command = command, .frames = 1, .repeat_frames = 3});
  };
  const auto remote = learn_remote("known", {{"left", hold(1)}, {"right", hold(2)}});
  ASSERT_TRUE(remote.has_value()) << remote.error().one_line();
  ASSERT_TRUE(remote->keys[0].code.has_value());
  EXPECT_EQ(remote->keys[0].code->command, 1U);
  EXPECT_TRUE(remote->keys[0].forms.empty());
  EXPECT_NEAR(remote->period_us, 108'000, 1);
  const CaptureReading heard = read_capture(hold(2));
  EXPECT_EQ(key_of(*remote, heard.frames[0].frame), std::optional<std::size_t>(1));
  EXPECT_FALSE(learn_remote("known", {{"left", hold(1)}, {"right", hold(1)}}));
}

TEST(Learning, ShortRepeatTrains_BelongToNoKey) {
  const auto hold = [](const Bits& bits) {
    Capture capture;
    for (int press = 0; press < 3; ++press) {
      const Capture one = presses(bits, 1), repeat = presses("", 3);
      capture.pulses.insert(capture.pulses.end(), one.pulses.begin(), one.pulses.end());
      capture.pulses.insert(capture.pulses.end(), repeat.pulses.begin(), repeat.pulses.end());
    }
    return capture;
  };
  const auto remote = learn_remote("x", {{"left", hold(kLeft)}, {"right", hold(kRight)}});
  ASSERT_TRUE(remote.has_value()) << remote.error().one_line();
  EXPECT_EQ(remote->keys[0].bits, kLeft);
  ASSERT_TRUE(remote->repeat.has_value());
  EXPECT_EQ(remote->repeat->size(), 3U);
}

}  // namespace
}  // namespace runtrue
