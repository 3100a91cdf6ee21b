// Test signals: what a hand remote of any protocol known here sends, and what a receiver makes of
// it.
//
// Widths as in the protocol sheets of robot/. The virtual remote and the round-trip tests use them.
#pragma once

#include <cstdint>
#include <random>

#include "remote/capture.h"
#include "robot/frame.h"
#include "units/result.h"

namespace runtrue {

struct SignalOrder {
  robot::Protocol protocol = robot::Protocol::kNec;
  std::uint32_t address = 0;
  std::uint32_t command = 0;
  std::uint32_t extended = 0;
  bool toggle = false;
  int frames = 1;         // whole frames, a period apart from start to start; for Sharp and Denon
                          // words, every other one inverted
  int repeat_frames = 0;  // then so many without address; NEC protocols alone
  bool header_each_time = false;  // JVC: else only the first word has it
};

// From start to start while a key is held, from the protocol's sheet, µs.
[[nodiscard]] double nominal_period_us(robot::Protocol protocol);

// The signal with 50 ms of silence before it and after. Bad input: a field too large for the
// protocol, an address or command that the protocol's other forms would claim (a NEC extended
// address whose bytes are complements, a NEC 32 pair that is one, an RC-6 customer number whose
// first bit calls for another length), no frame at all.
[[nodiscard]] Result<Capture> make_signal(const SignalOrder& order);

// What a receiver and two clocks do. Each is 0 for a faithful copy.
struct Distortion {
  double clock_error = 0;  // 0.05: the sender is 5 % slow, all durations longer
  double stretch_us = 0;   // every mark longer by so much at its end, the space after it shorter
  double jitter_us = 0;    // every end of a mark is moved by up to this, either way, evenly
};

// Needs marks and spaces longer than the distortion leaves of them (RUNTRUE_CHECK: above 1 µs).
[[nodiscard]] Capture distort(const Capture& capture, const Distortion& distortion,
                              std::mt19937_64& random);

}  // namespace runtrue
