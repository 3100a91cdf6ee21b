#include "robot/pulse_reader.h"

#include "robot/shared_code.h"

namespace runtrue {
namespace robot {

Heard PulseReader::edge(bool mark, uint32_t time_us) {
  if (mark == mark_) return Heard::kNothing;
  const uint32_t before = level_since_us_;
  const uint32_t lasted = time_us - before;
  const uint16_t width =
      lasted > kLongestPulse_us ? kLongestPulse_us : static_cast<uint16_t>(lasted);
  mark_ = mark;
  const Heard heard = mark ? end_space(width) : end_mark(width);
  // The level that ended may turn out to go on from before a spike; then it began earlier.
  if (level_since_us_ == before) level_since_us_ = time_us;
  return heard;
}

Heard PulseReader::silence(uint32_t time_us) {
  if (mark_ || !hearing_ || time_us - level_since_us_ < kFrameGap_us) return Heard::kNothing;
  return end_train();
}

Heard PulseReader::end_mark(uint16_t width) {
  Heard heard = Heard::kNothing;
  if (width < kSpike_us) {
    if (!hearing_) {
      level_since_us_ -= silence_us_;
      return heard;
    }
    if (join_before()) return heard;
  }
  if (hearing_ && width > kLongestPlainMark_us) heard = refuse(Refusal::kCut);
  if (!hearing_) {
    hearing_ = true;
    train_.count = 0;
    start_us_ = level_since_us_;
  }
  push(width);
  return heard;
}

Heard PulseReader::end_space(uint16_t width) {
  Heard heard = Heard::kNothing;
  if (hearing_) {
    if (width < kSpike_us && join_before()) return heard;
    if (width >= kFrameGap_us) {
      heard = end_train();
    } else if (width > kLongestPlainSpace_us && !has_header()) {
      heard = refuse(Refusal::kCut);
    } else {
      push(width);
      return heard;
    }
  }
  silence_us_ = width;
  return heard;
}

// The pulse that just ended is a spike: the one before it goes on.
bool PulseReader::join_before() {
  if (train_.count > kMostPulses) return false;
  --train_.count;
  level_since_us_ -= train_.us[train_.count];
  if (train_.count == 0) hearing_ = false;  // the first mark goes on
  return true;
}

RUNTRUE_SHARED void PulseReader::push(uint16_t width) {
  if (train_.count < kMostPulses) train_.us[train_.count] = width;
  if (train_.count <= kMostPulses) ++train_.count;
}

RUNTRUE_SHARED Heard PulseReader::refuse(Refusal refusal) {
  hearing_ = false;
  heard_start_us_ = start_us_;
  pulses_ = train_.count;
  refusal_ = refusal;
  return refusal == Refusal::kNone ? Heard::kFrame : Heard::kRefused;
}

Heard PulseReader::end_train() {
  confirms_ = false;
  if (!has_header() && silence_us_ <= kLongestPlainSpace_us) return refuse(Refusal::kCut);
  frame_ = Frame();
  Refusal refusal = read_train(train_, frame_);
  if (refusal == Refusal::kAwaitsTwin ||
      (refusal == Refusal::kNone && frame_.protocol == Protocol::kJvc)) {
    if (match_twin(refusal == Refusal::kNone)) refusal = Refusal::kNone;
  }
  return refuse(refusal);
}

// Whether the word just read and the one before it confirm each other; it becomes the one before.
bool PulseReader::match_twin(bool good_alone) {
  const uint8_t protocol = static_cast<uint8_t>(frame_.protocol);
  const uint8_t address = static_cast<uint8_t>(frame_.address);
  const uint8_t command = static_cast<uint8_t>(frame_.command);
  const bool turned = word_.inverted != frame_.toggle;
  const bool matches = word_.protocol == protocol && word_.address == address &&
                       word_.command == command && turned == (frame_.protocol != Protocol::kJvc) &&
                       start_us_ - word_start_us_ <= kTwinWithin_us;
  confirms_ = matches && word_.alone;
  word_ = {protocol, address, command, frame_.toggle, !matches && !good_alone};
  word_start_us_ = start_us_;
  frame_.toggle = false;
  return matches;
}

}  // namespace robot
}  // namespace runtrue
