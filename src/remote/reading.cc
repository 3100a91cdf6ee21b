#include "remote/reading.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "robot/pulse_reader.h"

namespace runtrue {
namespace {

constexpr std::array<std::string_view, robot::kProtocols> kNames = {
    "nec",       "necx",       "nec32",  "samsung32", "jvc",       "sharp",
    "denon",     "kaseikyo48", "rc5",    "rc5x",      "rc6-mode0", "rc6-6a-20",
    "rc6-6a-24", "rc6-6a-32",  "sony12", "sony15",    "sony20",    "biphase15"};

// No mark of a protocol here is so long; a level that is longer is the idle one.
constexpr double kLongestMark_us = 15000;

struct Longest {
  double mark_us = 0, space_us = 0;
};

Longest longest_of(const Capture& capture) {
  Longest longest;
  double lasted_us = 0;
  for (std::size_t i = 0; i < capture.pulses.size(); ++i) {
    const Pulse& pulse = capture.pulses[i];
    const bool goes_on = i > 0 && capture.pulses[i - 1].mark == pulse.mark;
    lasted_us = goes_on ? lasted_us + pulse.duration_us : pulse.duration_us;
    double& most = pulse.mark ? longest.mark_us : longest.space_us;
    most = std::max(most, lasted_us);
  }
  return longest;
}

bool same_hold(const robot::Frame& before, const robot::Frame& now) {
  if (now.repeat)
    return before.protocol == robot::Protocol::kNec ||
           before.protocol == robot::Protocol::kNecExtended ||
           before.protocol == robot::Protocol::kNec32;
  return !before.repeat && before.protocol == now.protocol && before.address == now.address &&
         before.command == now.command && before.extended == now.extended &&
         before.toggle == now.toggle;
}

// Gathers what the robot's reader hears of a capture whose times go beyond its 32-bit counter.
class Listener {
 public:
  void edge(bool mark, double time_us) {
    now_us_ = time_us;
    take(reader_.edge(mark, wrapped(time_us)));
  }

  CaptureReading finish(double end_us) {
    now_us_ = end_us;
    take(reader_.silence(wrapped(end_us)));
    if (pending_) refused(*pending_);
    std::stable_sort(
        reading_.refused.begin(), reading_.refused.end(),
        [](const RefusedPiece& a, const RefusedPiece& b) { return a.start_us < b.start_us; });
    tell_periods();
    return std::move(reading_);
  }

  // Whether a train has begun that nothing has been said about, and where.
  [[nodiscard]] double answered_up_to_us() const { return answered_us_; }

  void refused(const RefusedPiece& piece) { reading_.refused.push_back(piece); }

 private:
  static std::uint32_t wrapped(double time_us) {
    return static_cast<std::uint32_t>(static_cast<std::uint64_t>(std::llround(time_us)));
  }

  void take(robot::Heard heard) {
    if (heard == robot::Heard::kNothing) return;
    answered_us_ = now_us_;
    const std::uint32_t ago = wrapped(now_us_) - reader_.start_us();
    const double start_us = std::round(now_us_) - static_cast<double>(ago);
    if (heard == robot::Heard::kRefused) {
      const RefusedPiece piece{start_us, reader_.pulses(), reader_.refusal()};
      if (reader_.refusal() != robot::Refusal::kAwaitsTwin) return refused(piece);
      if (pending_) refused(*pending_);
      pending_ = piece;
      pending_frame_ = reader_.frame();
      return;
    }
    if (pending_) {
      if (reader_.confirms_word_before()) {
        reading_.frames.push_back({pending_frame_, pending_->start_us, std::nullopt, "", false});
      } else {
        refused(*pending_);
      }
      pending_.reset();
    }
    reading_.frames.push_back({reader_.frame(), start_us, std::nullopt, "", false});
  }

  void tell_periods() {
    std::vector<double> all;
    for (std::size_t i = 1; i < reading_.frames.size(); ++i) {
      const HeardFrame& before = reading_.frames[i - 1];
      HeardFrame& now = reading_.frames[i];
      const double since = now.start_us - before.start_us;
      if (since > kLongestPeriod_us || !same_hold(before.frame, now.frame)) continue;
      now.since_last_us = since;
      all.push_back(since);
    }
    if (all.empty()) return;
    const auto middle = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2);
    std::nth_element(all.begin(), middle, all.end());
    reading_.period_us = *middle;
  }

  robot::PulseReader reader_;
  CaptureReading reading_;
  std::optional<RefusedPiece> pending_;
  robot::Frame pending_frame_ = {};
  double now_us_ = 0;
  double answered_us_ = 0;
};

CaptureReading read_as(const Capture& capture, bool inverted) {
  Listener listener;
  double time_us = 0;
  double last_mark_end_us = 0;
  double last_train_us = 0;  // the first mark after a frame gap
  std::size_t train_pulses = 0;
  for (const Pulse& pulse : capture.pulses) {
    const bool mark = pulse.mark != inverted;
    listener.edge(mark, time_us);
    if (mark) {
      if (train_pulses == 0 || time_us - last_mark_end_us >= robot::kFrameGap_us) {
        last_train_us = time_us;
        train_pulses = 0;
      }
      last_mark_end_us = time_us + pulse.duration_us;
    }
    ++train_pulses;
    time_us += pulse.duration_us;
  }
  const bool cut =
      train_pulses > 0 && last_mark_end_us > 0 && time_us - last_mark_end_us < robot::kFrameGap_us;
  if (cut) listener.refused({last_train_us, train_pulses, robot::Refusal::kCut});
  CaptureReading reading = listener.finish(time_us);
  reading.inverted = inverted;
  return reading;
}

}  // namespace

CaptureReading read_capture(const Capture& capture) {
  const Longest longest = longest_of(capture);
  const bool by_idle = longest.mark_us > longest.space_us;
  CaptureReading reading = read_as(capture, by_idle);
  if (std::max(longest.mark_us, longest.space_us) > kLongestMark_us) return reading;
  CaptureReading other = read_as(capture, !by_idle);
  return other.frames.size() > reading.frames.size() ? other : reading;
}

std::string_view protocol_name(robot::Protocol protocol) {
  return kNames[static_cast<std::size_t>(protocol)];
}

std::optional<robot::Protocol> protocol_named(std::string_view name) {
  const auto found = std::find(kNames.begin(), kNames.end(), name);
  if (found == kNames.end()) return std::nullopt;
  return static_cast<robot::Protocol>(found - kNames.begin());
}

bool has_toggle(robot::Protocol protocol) {
  return (protocol >= robot::Protocol::kRc5 && protocol <= robot::Protocol::kRc6A32) ||
         protocol == robot::Protocol::kBiphase15;
}

bool has_extended(robot::Protocol protocol) {
  return protocol == robot::Protocol::kPulseWidth20 || protocol == robot::Protocol::kBiphase15;
}

std::string_view refusal_name(robot::Refusal refusal) {
  constexpr std::array<std::string_view, 8> kWords = {"none",  "header",      "bits", "width",
                                                      "check", "awaits-twin", "cut",  "too-long"};
  return kWords[static_cast<std::size_t>(refusal)];
}

std::string_view refusal_text(robot::Refusal refusal) {
  switch (refusal) {
    case robot::Refusal::kNone:
      return "nothing is wrong";
    case robot::Refusal::kHeader:
      return "it begins like no protocol known here";
    case robot::Refusal::kBits:
      return "it has a number of pulses that its protocol never has";
    case robot::Refusal::kWidth:
      return "a mark or a space fits no width of its protocol";
    case robot::Refusal::kCheck:
      return "a check field says that a bit is wrong";
    case robot::Refusal::kAwaitsTwin:
      return "the second word that must confirm it is missing";
    case robot::Refusal::kCut:
      return "it is cut off, or began without a silence before";
    case robot::Refusal::kTooLong:
      return "it has more pulses than any protocol known here";
  }
  return "";
}

}  // namespace runtrue
