// Where a recording begins and ends, and which way round it is.
#include "remote/reading.h"

#include <gtest/gtest.h>

#include <vector>

#include "remote/learning.h"
#include "remote/synthesis.h"

namespace runtrue {
namespace {

using robot::Protocol;
using robot::Refusal;

Capture signal_of(Protocol protocol, int frames, std::uint32_t command = 0x2A) {
  SignalOrder order{.protocol = protocol, .address = 0x15, .command = command, .frames = frames};
  if (protocol == Protocol::kNecExtended || protocol == Protocol::kNec32) order.address = 0x1234;
  if (protocol == Protocol::kNec32) order.command = 0x5678;
  if (protocol == Protocol::kRc5x) order.command = 0x6A;
  return make_signal(order).value();
}

// From its first mark to its last, as many recorders keep it, and then without the last pulses.
Capture cropped(Capture capture, std::size_t without_last = 0) {
  capture.pulses.erase(capture.pulses.begin());
  capture.pulses.resize(capture.pulses.size() - 1 - without_last);
  return capture;
}

Capture upside_down(Capture capture) {
  for (Pulse& pulse : capture.pulses) pulse.mark = !pulse.mark;
  return capture;
}

TEST(Reading, CaptureFromFirstMarkToLast_IsReadEitherWayRound) {
  for (int i = 0; i < robot::kProtocols; ++i) {
    const auto protocol = static_cast<Protocol>(i);
    SCOPED_TRACE(protocol_name(protocol));
    const bool twins = protocol == Protocol::kSharp || protocol == Protocol::kDenon;
    for (const int frames : {twins ? 2 : 1, 4}) {
      const Capture capture = cropped(signal_of(protocol, frames));
      const CaptureReading upright = read_capture(capture);
      ASSERT_EQ(upright.frames.size(), static_cast<std::size_t>(frames));
      EXPECT_EQ(upright.frames[0].start_us, 0);
      EXPECT_EQ(upright.frames.back().frame.protocol, protocol);
      EXPECT_TRUE(upright.refused.empty());
      EXPECT_FALSE(upright.inverted);
      const CaptureReading turned = read_capture(upside_down(capture));
      EXPECT_EQ(turned.frames.size(), upright.frames.size());
      EXPECT_TRUE(turned.inverted);
    }
  }
}

// At every place at which the second of two frames can be cut: nothing but the first is read. A
// longer form cut short has the pulses of a shorter one: 20 bits by pulse width those of 15 and 12,
// 15 by biphase those of RC-5, NEC those of JVC.
TEST(Reading, FrameCutByTheEnd_IsNeverRead) {
  for (int i = 0; i < robot::kProtocols; ++i) {
    const auto protocol = static_cast<Protocol>(i);
    if (protocol == Protocol::kSharp || protocol == Protocol::kDenon) continue;  // twins
    SCOPED_TRACE(protocol_name(protocol));
    const std::size_t one = cropped(signal_of(protocol, 1)).pulses.size();
    const std::size_t second = cropped(signal_of(protocol, 2)).pulses.size() - one - 1;
    for (std::size_t cut = 1; cut < second; ++cut) {
      const CaptureReading reading = read_capture(cropped(signal_of(protocol, 2), cut));
      ASSERT_EQ(reading.frames.size(), 1U) << cut;
      ASSERT_EQ(reading.refused.size(), 1U) << cut;
    }
  }
}

TEST(Reading, FrameWhoseBeginningIsMissing_IsNeverRead) {
  for (const Protocol protocol :
       {Protocol::kBiphase15, Protocol::kRc5, Protocol::kNec, Protocol::kPulseWidth20}) {
    SCOPED_TRACE(protocol_name(protocol));
    const std::size_t one = cropped(signal_of(protocol, 1)).pulses.size();
    for (std::size_t cut = 1; cut < one; ++cut) {
      Capture capture = cropped(signal_of(protocol, 3));
      capture.pulses.erase(capture.pulses.begin(),
                           capture.pulses.begin() + static_cast<std::ptrdiff_t>(cut));
      EXPECT_EQ(read_capture(capture).frames.size(), 2U) << cut;
    }
  }
}

TEST(Reading, TrainsOfACaptureThatEndsWithAMark_AreAllThere) {
  EXPECT_EQ(trains_of(cropped(signal_of(Protocol::kNec, 3)), false).size(), 3U);
  EXPECT_EQ(trains_of(signal_of(Protocol::kNec, 3), false).size(), 3U);
}

}  // namespace
}  // namespace runtrue
