// Plays one run: a trial, the loaded move list, or the keyed-in presses. It counts ticks of a
// millisecond and says which levels the wheels are to have now.
//
// Freestanding C++14. Before the first move the robot waits so that the hand can go; between moves
// it rests, since every move is measured from standing to standing. A move's levels hold for
// exactly its milliseconds.
#pragma once

#include <stdint.h>

#include "robot/press_recorder.h"
#include "robot/run_log.h"
#include "robot/store.h"

namespace runtrue {
namespace robot {

constexpr uint16_t kStartWait_ms = 1000;

// All zero at the start, and cleared as one block.
struct RunPlayerState {
  TimedLevels now_;
  RunKind kind_;
  uint8_t index_;
  uint8_t next_;
  uint16_t left_ms_;
  uint16_t wait_ms_;
  uint32_t on_ms_;
  bool finished_;
};

class RunPlayer : private RunPlayerState {
 public:
  RunPlayer() : RunPlayerState() {}

  // `index` is the trial's; nothing moves yet. The store, presses and settings passed to `tick`
  // must not change till the run ends.
  void begin(RunKind kind, uint8_t index);
  // A millisecond later. False once the run is over: `finished`, or the next move can't be read.
  bool tick(const Store& store, const PressRecorder& presses, const Settings& settings);
  void stop();
  bool finished() const { return finished_; }

  int16_t left() const { return now_.left; }
  int16_t right() const { return now_.right; }
  // Till the levels end; 0 while it rests.
  uint16_t ms_left() const { return moving() ? left_ms_ : static_cast<uint16_t>(0); }
  bool moving() const { return now_.left != 0 || now_.right != 0; }
  RunKind kind() const { return kind_; }
  uint8_t index() const { return index_; }
  uint8_t begun() const { return next_; }  // moves that were begun
  uint32_t on_ms() const { return on_ms_; }

 private:
  bool fetch(const Store& store, const PressRecorder& presses, const Settings& settings);
  uint8_t count(const Store& store, const PressRecorder& presses) const;
};

}  // namespace robot
}  // namespace runtrue
