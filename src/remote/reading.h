// What a capture says: its frames, and what was refused and why. Read by the robot's own code.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "remote/capture.h"
#include "robot/frame.h"

namespace runtrue {

struct HeardFrame {
  robot::Frame frame;
  double start_us = 0;
  // From the frame before to this one, start to start, where both belong to one hold: the same key,
  // the same toggle, at most kLongestPeriod_us apart.
  std::optional<double> since_last_us;
  std::string key;       // of a learned remote that was asked about, else ""
  bool learned = false;  // known by that remote's trains alone; `frame` has but its margin
};

struct RefusedPiece {
  double start_us = 0;
  std::size_t pulses = 0;  // marks and spaces; 100 stands for more than 99
  robot::Refusal why = robot::Refusal::kNone;
};

struct CaptureReading {
  std::vector<HeardFrame> frames;     // in the order of their starts
  std::vector<RefusedPiece> refused;  // likewise
  bool inverted = false;              // marks were recorded as spaces and the other way round
  std::optional<double> period_us;    // the median of all `since_last_us`
};

// No repeat of a protocol here comes later than Kaseikyo's 130 ms.
inline constexpr double kLongestPeriod_us = 160000;

// Reads all frames. The level that lasts longest without a change is the idle one, so a recording
// of an inverted line is turned round and said to be; where none lasts longer than a header's mark
// can, the way that gives more frames is taken. Nothing is sent before the capture and after it, so
// a recording may begin with its first mark and end with its last. A frame without a silence of its
// own at such an end is refused as cut where it is not whole, or of another protocol than the frame
// beside it (a longer form cut short looks like a shorter one).
[[nodiscard]] CaptureReading read_capture(const Capture& capture);

// The name of a protocol in files and answers, lower case: "nec", "rc6-6a-32".
[[nodiscard]] std::string_view protocol_name(robot::Protocol protocol);
[[nodiscard]] std::optional<robot::Protocol> protocol_named(std::string_view name);

// Whether a frame of it has a bit that changes from press to press, and a third field.
[[nodiscard]] bool has_toggle(robot::Protocol protocol);
[[nodiscard]] bool has_extended(robot::Protocol protocol);

// Why a piece was refused, as a word of files: "width"; "cut".
[[nodiscard]] std::string_view refusal_name(robot::Refusal refusal);
// The same for a person: "a mark or a space fits no width of the protocol".
[[nodiscard]] std::string_view refusal_text(robot::Refusal refusal);

}  // namespace runtrue
