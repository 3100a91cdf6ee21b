#include "remote/synthesis.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <vector>

#include "remote/reading.h"

namespace runtrue {
namespace {

using robot::Protocol;

// Any code that `make_signal` takes for the protocol, made of three arbitrary numbers.
SignalOrder order_of(Protocol protocol, std::uint32_t a, std::uint32_t b, std::uint32_t c) {
  SignalOrder order;
  order.protocol = protocol;
  for (std::uint32_t mask = 0xFFFFFF; mask > 0; mask >>= 1) {
    order.address = a & mask & 0xFFFF;
    for (std::uint32_t narrower = 0xFFFFFF; narrower > 0; narrower >>= 1) {
      order.command = b & narrower;
      order.extended = protocol == Protocol::kPulseWidth20 ? c & 0xFF
                       : protocol == Protocol::kBiphase15  ? c & 1
                                                           : 0;
      if (protocol == Protocol::kRc5x) order.command = (b & 0x3F) + 64;
      if (make_signal(order)) return order;
    }
  }
  return order;
}

void expect_read(const SignalOrder& order, const Distortion& distortion, std::mt19937_64& random,
                 Capture before = {}) {
  const auto signal = make_signal(order);
  RC_ASSERT(signal.has_value());
  const Capture heard = distort(*signal, distortion, random);
  before.pulses.insert(before.pulses.end(), heard.pulses.begin(), heard.pulses.end());
  const CaptureReading reading = read_capture(before);
  RC_ASSERT(reading.frames.size() == static_cast<std::size_t>(order.frames + order.repeat_frames));
  for (std::size_t i = 0; i < reading.frames.size(); ++i) {
    const robot::Frame& frame = reading.frames[i].frame;
    RC_ASSERT(frame.repeat == (i >= static_cast<std::size_t>(order.frames)));
    if (frame.repeat) continue;
    RC_ASSERT(frame.protocol == order.protocol);
    RC_ASSERT(frame.address == order.address);
    RC_ASSERT(frame.command == order.command);
    RC_ASSERT(frame.extended == order.extended);
    RC_ASSERT(frame.toggle == (has_toggle(order.protocol) && order.toggle));
  }
}

Protocol any_protocol() {
  return static_cast<Protocol>(*rc::gen::inRange<int>(0, robot::kProtocols));
}

SignalOrder any_order() {
  SignalOrder order =
      order_of(any_protocol(), *rc::gen::arbitrary<std::uint32_t>(),
               *rc::gen::arbitrary<std::uint32_t>(), *rc::gen::arbitrary<std::uint32_t>());
  order.toggle = *rc::gen::arbitrary<bool>();
  order.frames = *rc::gen::inRange(2, 5);
  order.header_each_time = *rc::gen::arbitrary<bool>();
  if (order.protocol <= Protocol::kNec32) order.repeat_frames = *rc::gen::inRange(0, 4);
  return order;
}

RC_GTEST_PROP(Synthesis, EveryCodeOfEveryProtocol_IsReadAgain, ()) {
  std::mt19937_64 random(1);
  expect_read(any_order(), {}, random);
}

// The receiver's limits at 36 to 57 kHz, each mark for itself, are -139 to +167 µs [Tsop38]: a
// stretch common to the frame and what is left around it. 5 % is more than any clock measured is
// off (1.1 %).
RC_GTEST_PROP(Synthesis, WithClock5PercentOffAndTheReceiversDistortion_IsReadAgain,
              (std::uint64_t seed)) {
  const double clock = *rc::gen::inRange(-50, 51) / 1000.0;
  const double low = -132;
  const double high = 158;
  const double stretch = *rc::gen::inRange(-80, 101);
  const double jitter = std::min(high - stretch, stretch - low);
  std::mt19937_64 random(seed);
  SignalOrder order = any_order();
  expect_read(order, {clock, stretch, std::min(jitter, 100.0)}, random);
}

RC_GTEST_PROP(Synthesis, AfterGarbageAndASilenceOf7ms_TheFirstFrameIsRead,
              (std::uint64_t seed, const std::vector<std::uint16_t>& garbage)) {
  Capture before;
  bool mark = true;
  for (const std::uint16_t us : garbage) {
    before.pulses.push_back({mark, 1.0 + us % 3000});
    mark = !mark;
  }
  before.pulses.push_back({false, 7000});
  std::mt19937_64 random(seed);
  const SignalOrder order = any_order();
  const auto signal = make_signal(order);
  RC_ASSERT(signal.has_value());
  before.pulses.insert(before.pulses.end(), signal->pulses.begin(), signal->pulses.end());
  const CaptureReading reading = read_capture(before);
  const auto wanted = static_cast<std::size_t>(order.frames + order.repeat_frames);
  RC_ASSERT(reading.frames.size() >= wanted);
  const HeardFrame& first = reading.frames[reading.frames.size() - wanted];
  RC_ASSERT(first.frame.protocol == order.protocol);
  RC_ASSERT(first.frame.address == order.address);
  RC_ASSERT(first.frame.command == order.command);
}

TEST(Synthesis, FieldsTooLargeOrClaimedByAnotherForm_AreRefused) {
  EXPECT_FALSE(make_signal({.protocol = Protocol::kNec, .address = 256}));
  EXPECT_FALSE(make_signal({.protocol = Protocol::kNecExtended, .address = 0xFF00}));
  EXPECT_FALSE(make_signal({.protocol = Protocol::kRc5, .command = 64}));
  EXPECT_FALSE(make_signal({.protocol = Protocol::kRc6A32, .address = 0x80}));
  EXPECT_FALSE(make_signal({.protocol = Protocol::kRc5, .repeat_frames = 1}));
  EXPECT_FALSE(make_signal({.frames = 0}));
}

}  // namespace
}  // namespace runtrue
