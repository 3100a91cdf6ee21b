// From edges to frames: cuts what a receiver hears into trains and reads each by the one protocol
// that its header and its length call for.
//
// Freestanding C++14; some 240 bytes of memory. Times are microseconds of a counter that
// may wrap around. Feed every change of level with `edge`; between them call `silence` now and then
// (at best every few milliseconds), or a frame is told only with the edge after it.
//
// How the stream is cut:
// - A space of kFrameGap_us ends a train. Inside a frame no protocol here is silent for more than
//   4.5 ms, between frames none for less than 8.
// - A mark longer than kLongestPlainMark_us begins a train, whatever stood before: only headers
//   have such marks. So a frame with a header is read right after garbage.
// - A train that began without such a mark has no space longer than kLongestPlainSpace_us; a longer
//   one begins it anew. It is read only if such a silence stood before it, so a frame without
//   header is read after garbage and that silence.
// - Anything shorter than kSpike_us is no receiver's doing (it needs 10 cycles and takes 5 off at
//   most: 87 µs at 57 kHz) and is taken as if it had not been.
#pragma once

#include "robot/frame.h"
#include "robot/pulse_train.h"

namespace runtrue {
namespace robot {

constexpr uint16_t kFrameGap_us = 7000;
constexpr uint16_t kLongestPlainMark_us = 2100;   // RC-5: 1778, stretched by 167, 5 % slow: 2042
constexpr uint16_t kLongestPlainSpace_us = 2500;  // JVC: 1583 + 132, 5 % slow: 1801; RC-5: 2013
constexpr uint16_t kSpike_us = 80;
// Sharp words come 67.5 ms from start to start and JVC words 46.4; half as much again, not twice.
constexpr uint32_t kTwinWithin_us = 100000;

enum class Heard : uint8_t { kNothing, kFrame, kRefused };

// Reads one whole train: exactly one protocol's decoder is asked.
Refusal read_train(const PulseTrain& train, Frame& frame);

// All zero at the start, and cleared as one block.
struct PulseReaderState {
  struct Word {        // that a twin may confirm
    uint8_t protocol;  // 0 (NEC) stands for none
    uint8_t address;
    uint8_t command;
    bool inverted;
    bool alone;
  };

  Frame frame_;
  Word word_;
  uint32_t word_start_us_;
  uint32_t level_since_us_;
  uint32_t start_us_;
  uint32_t heard_start_us_;
  uint16_t silence_us_;  // before the train's first mark
  Refusal refusal_;
  uint8_t pulses_;
  bool mark_;
  bool hearing_;  // a train
  bool confirms_;
  PulseTrain train_;  // last, so that all before it is near the start, where the chip reaches it
};

class PulseReader : private PulseReaderState {
 public:
  PulseReader() : PulseReaderState() {}

  // The level that begins at `time_us`. A level that is already there changes nothing.
  Heard edge(bool mark, uint32_t time_us);
  // No edge has come up to `time_us`.
  Heard silence(uint32_t time_us);

  // The frame heard last, or what could be read of a train that awaits its twin.
  const Frame& frame() const { return frame_; }
  // The train that `frame` and `refusal` are about began here.
  uint32_t start_us() const { return heard_start_us_; }
  // kNone after kFrame.
  Refusal refusal() const { return refusal_; }
  // The frame heard last is the twin that makes the word before it good as well.
  bool confirms_word_before() const { return confirms_; }
  // How many pulses the train had that `refusal` is about.
  uint8_t pulses() const { return pulses_; }

 private:
  Heard end_mark(uint16_t width);
  Heard end_space(uint16_t width);
  Heard end_train();
  Heard refuse(Refusal refusal);
  bool join_before();
  bool match_twin(bool good_alone);
  void push(uint16_t width);
  bool has_header() const { return train_.us[0] > kLongestPlainMark_us; }
};

}  // namespace robot
}  // namespace runtrue
