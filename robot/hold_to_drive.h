// Hold to drive: the robot moves while frames of one of its keys arrive, and stands still within
// the hold time-out after the last.
//
// Freestanding C++14; some 40 bytes. After construction it stands still, so lost power or a reset
// stops. Feed every frame of the pulse reader with `frame` and every tick of a free-running clock
// with `tick`; ask `motion` after each.
//
// Rules
// - Only a whole frame of a key in the list starts a motion or changes it. A key that is no hold
//   (level up, run the list) is told once for each press.
// - A repeat frame without address prolongs only at a whole number of periods, give or take the
//   window, after this robot's own whole frame; a repeat never moves that reference. One that fits
//   as well behind a foreign whole frame is not counted. With a period of 0 none counts.
// - Each frame that counts winds up so many ticks. The clock runs free, so with ticks of q the real
//   time-out lies in ((ticks - 1) q, ticks q]; to ride over m lost frames
//   (ticks - 1) q >= (m + 1) period + jitter is needed.
// - The stop key wins: the robot stands still at once and for a time-out after the last frame of
//   the stop key, whatever arrives. Where frames of a held key are whole frames, the press that was
//   stopped (key and toggle) starts nothing more until it has been let go for a time-out.
#pragma once

#include <stdint.h>

#include "robot/frame.h"

namespace runtrue {
namespace robot {

enum class Motion : uint8_t {
  kNone,
  kStop,
  kDrive,
  kReverse,
  kTurnLeft,
  kTurnRight,
  kBendLeft,
  kBendRight,
  kLevelUp,  // from here on no motion: told once for each press
  kLevelDown,
  kRunList,
};
constexpr uint8_t kMotions = 11;

struct RemoteKey {
  uint32_t command;
  uint16_t address;
  Protocol protocol;
  uint8_t extended;
  Motion motion;  // not kNone
};

struct HoldRules {
  uint32_t period_us;  // of repeat frames without address, on this robot's clock; 0: none counts.
                       // Else more than 2 windows, and every whole frame is a press of its own
  uint16_t window_us;  // kRepeatWindow_us
  uint8_t ticks;       // 1 to 255
};

// A held remote beside this one then prolongs 4 % of the releases by a frame or two, and none for
// long.
constexpr uint16_t kRepeatWindow_us = 2000;

constexpr uint8_t kNoKey = 255;

class HoldToDrive {
 public:
  // `keys` stay where they are; at most 254.
  HoldToDrive(const RemoteKey* keys, uint8_t count, const HoldRules& rules)
      : keys_(keys), rules_(rules), count_(count) {}

  // A frame that began at `start_us` (of a counter that may wrap around). Answers what was pressed
  // anew by it, or kNone.
  Motion frame(const Frame& frame, uint32_t start_us);
  // One tick of the clock has passed.
  void tick();
  // As the stop key, but only now: for a low battery or a key on the robot itself.
  void stand_still();

  // What the wheels are to do now: kNone or one from kDrive to kBendRight.
  Motion motion() const;

  struct Press {
    uint8_t key;   // place in the list, or kNoKey
    uint8_t left;  // ticks
    bool toggle;
  };
  struct Repeats {
    uint32_t due_us;  // a whole number of periods after the whole frame
    uint8_t left;     // ticks; those of the own key are wound up with its press
  };
  // All that it remembers, for tests that explore every state.
  struct State {
    Press held;
    Press stopped;
    Repeats own;
    Repeats foreign;
  };
  const State& state() const { return state_; }

 private:
  uint8_t key_of(const Frame& frame) const;
  Motion press(uint8_t key, bool toggle, uint32_t start_us);
  bool may_not_start(uint8_t key, bool toggle);
  void repeat(uint32_t start_us);
  bool fits(Repeats& repeats, uint32_t start_us) const;

  const RemoteKey* keys_;
  HoldRules rules_;
  State state_ = {{kNoKey, 0, false}, {kNoKey, 0, false}, {0, 0}, {0, 0}};
  uint8_t count_;
};

}  // namespace robot
}  // namespace runtrue
