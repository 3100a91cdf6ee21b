#include "remote/reading.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <tuple>

#include "robot/pulse_reader.h"

namespace runtrue {
namespace {

using robot::Protocol;

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
  if (now.repeat) return before.protocol <= Protocol::kNec32;
  return !before.repeat && before.protocol == now.protocol && before.address == now.address &&
         before.command == now.command && before.extended == now.extended &&
         before.toggle == now.toggle;
}

// More than a frame gap: what a recording is taken to have on either side.
constexpr double kSilence_us = 10000;

// Which ends of a recording lie nearer to a mark than a frame gap.
struct OpenEnds {
  bool first = false, last = false;
};

// Gathers what the robot's reader hears of a capture whose times go beyond its 32-bit counter.
class Listener {
 public:
  explicit Listener(OpenEnds open) : open_(open) {}

  void edge(bool mark, double time_us) {
    now_us_ = time_us;
    take(reader_.edge(mark, wrapped(time_us)));
  }

  CaptureReading finish(double end_us) {
    at_end_ = open_.last;
    edge(false, end_us);
    now_us_ = end_us + kSilence_us;
    take(reader_.silence(wrapped(now_us_)));
    if (pending_) refused(*pending_);
    leave_out_cut_frames();
    std::stable_sort(
        reading_.refused.begin(), reading_.refused.end(),
        [](const RefusedPiece& a, const RefusedPiece& b) { return a.start_us < b.start_us; });
    tell_periods();
    return std::move(reading_);
  }

 private:
  // The reader's counter begins a silence before the capture.
  static std::uint32_t wrapped(double time_us) {
    return static_cast<std::uint32_t>(
        static_cast<std::uint64_t>(std::llround(time_us + kSilence_us)));
  }

  void refused(const RefusedPiece& piece) { reading_.refused.push_back(piece); }

  void take(robot::Heard heard) {
    if (heard == robot::Heard::kNothing) return;
    const std::uint32_t ago = wrapped(now_us_) - reader_.start_us();
    const double start_us = std::round(now_us_) - static_cast<double>(ago);
    last_pulses_ = reader_.pulses();
    if (first_pulses_ == 0) first_pulses_ = last_pulses_;
    if (heard == robot::Heard::kRefused) {
      RefusedPiece piece{start_us, last_pulses_, reader_.refusal()};
      if (at_end_ && piece.why == robot::Refusal::kBits) piece.why = robot::Refusal::kCut;
      if (piece.why != robot::Refusal::kAwaitsTwin) return refused(piece);
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

  // A frame cut off by an end of the recording may look like a whole one of a shorter protocol. It
  // is left out beside one of another protocol: a held key changes none.
  void leave_out_cut_frames() {
    auto& frames = reading_.frames;
    const auto cut = [](const HeardFrame& one, const HeardFrame& beside) {
      if (std::abs(one.start_us - beside.start_us) > kLongestPeriod_us) return false;
      if (one.frame.repeat || beside.frame.repeat) return one.frame.protocol > Protocol::kNec32;
      return one.frame.protocol != beside.frame.protocol;
    };
    if (at_end_ && frames.size() > 1 && cut(frames.back(), frames[frames.size() - 2])) {
      refused({frames.back().start_us, last_pulses_, robot::Refusal::kCut});
      frames.pop_back();
    }
    if (open_.first && frames.size() > 1 && frames[0].start_us < robot::kFrameGap_us &&
        cut(frames[0], frames[1])) {
      refused({frames[0].start_us, first_pulses_, robot::Refusal::kCut});
      frames.erase(frames.begin());
    }
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
  std::size_t first_pulses_ = 0, last_pulses_ = 0;
  OpenEnds open_;
  bool at_end_ = false;
};

OpenEnds open_ends_of(const Capture& capture, bool inverted) {
  const auto is_open = [inverted](auto pulse, auto end) {
    double silent_us = 0;
    for (; pulse != end && pulse->mark == inverted; ++pulse) silent_us += pulse->duration_us;
    return pulse != end && silent_us < robot::kFrameGap_us;
  };
  return {is_open(capture.pulses.begin(), capture.pulses.end()),
          is_open(capture.pulses.rbegin(), capture.pulses.rend())};
}

CaptureReading read_as(const Capture& capture, bool inverted) {
  Listener listener(open_ends_of(capture, inverted));
  double time_us = 0;
  for (const Pulse& pulse : capture.pulses) {
    listener.edge(pulse.mark != inverted, time_us);
    time_us += pulse.duration_us;
  }
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
  // More frames, then fewer odd pieces, then the way that captures are meant to be.
  const auto rank = [](const CaptureReading& r) {
    return std::make_tuple(-static_cast<long>(r.frames.size()), r.refused.size(), r.inverted);
  };
  return rank(other) < rank(reading) ? other : reading;
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
