#include "robot/pulse_reader.h"

namespace runtrue {
namespace robot {
namespace {

bool same_word(const Frame& a, const Frame& b) {
  if (a.protocol != b.protocol || a.address != b.address || a.command != b.command) return false;
  return a.protocol == Protocol::kJvc || a.toggle != b.toggle;
}

}  // namespace

Heard PulseReader::edge(bool mark, uint32_t time_us) {
  if (mark == mark_) return Heard::kNothing;
  const uint32_t width = time_us - level_since_us_;
  mark_ = mark;
  // The level that ends may turn out to go on from before a spike; then `level_since_us_` goes
  // back.
  const uint32_t before = level_since_us_;
  const Heard heard = mark ? end_space(width) : end_mark(width);
  if (level_since_us_ == before) level_since_us_ = time_us;
  return heard;
}

Heard PulseReader::silence(uint32_t time_us) {
  if (mark_ || ended_ || time_us - level_since_us_ < kFrameGap_us) return Heard::kNothing;
  return end_train();
}

Heard PulseReader::end_mark(uint32_t width) {
  if (width < kSpike_us) {
    if (!ended_) {
      if (join_before()) return Heard::kNothing;
    } else {
      level_since_us_ = silent_since_us_;
      return Heard::kNothing;
    }
  }
  Heard heard = Heard::kNothing;
  if (!ended_ && width > kLongestPlainMark_us) heard = refuse(Refusal::kCut);
  if (ended_) {
    ended_ = false;
    train_.count = 0;
    start_us_ = level_since_us_;
    silent_before_ = level_since_us_ - silent_since_us_ > kLongestPlainSpace_us;
  }
  push(width);
  return heard;
}

Heard PulseReader::end_space(uint32_t width) {
  Heard heard = Heard::kNothing;
  if (!ended_) {
    if (width < kSpike_us && join_before()) return Heard::kNothing;
    if (width >= kFrameGap_us) {
      heard = end_train();
    } else if (width > kLongestPlainSpace_us && !has_header()) {
      heard = refuse(Refusal::kCut);
    } else {
      push(width);
    }
  }
  if (ended_) silent_since_us_ = level_since_us_;
  return heard;
}

// The pulse that just ended is a spike: the one before it goes on.
bool PulseReader::join_before() {
  if (train_.count > kMostPulses) return false;
  --train_.count;
  level_since_us_ -= train_.us[train_.count];
  if (train_.count == 0) ended_ = true;  // the first mark goes on
  return true;
}

void PulseReader::push(uint32_t width) {
  if (train_.count < kMostPulses) {
    train_.us[train_.count++] =
        width > 65535U ? static_cast<uint16_t>(65535U) : static_cast<uint16_t>(width);
  } else {
    train_.count = kMostPulses + 1;
  }
}

Heard PulseReader::refuse(Refusal refusal) {
  ended_ = true;
  heard_start_us_ = start_us_;
  pulses_ = train_.count;
  refusal_ = refusal;
  confirms_ = false;
  return refusal == Refusal::kNone ? Heard::kFrame : Heard::kRefused;
}

Heard PulseReader::end_train() {
  if (!has_header() && !silent_before_) return refuse(Refusal::kCut);
  frame_ = Frame();
  const Refusal refusal = match_twin(read_train(train_, frame_));
  const bool confirms = confirms_;
  const Heard heard = refuse(refusal);
  confirms_ = confirms;
  return heard;
}

Refusal PulseReader::match_twin(Refusal refusal) {
  confirms_ = false;
  const bool headed_jvc = refusal == Refusal::kNone && frame_.protocol == Protocol::kJvc;
  if (refusal != Refusal::kAwaitsTwin && !headed_jvc) return refusal;
  const bool matches =
      has_word_ && same_word(frame_, word_) && start_us_ - word_start_us_ <= kTwinWithin_us;
  confirms_ = matches && word_alone_;
  word_alone_ = !matches && !headed_jvc;
  has_word_ = true;
  word_ = frame_;
  word_start_us_ = start_us_;
  frame_.toggle = false;
  return matches ? Refusal::kNone : refusal;
}

}  // namespace robot
}  // namespace runtrue
