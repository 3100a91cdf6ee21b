// What is loaded into a robot, and how each of it lies in memory and on the line.
//
// Freestanding C++14. The structs below are the bytes themselves: numbers low byte first, no
// padding, which the assertions hold a compiler to; the chips and hosts meant here are all low byte
// first. Every part begins with kPartVersion; settings have it as their first field.
#pragma once

#include <stdint.h>

#include "robot/hold_to_drive.h"
#include "robot/messages.h"

namespace runtrue {
namespace robot {

#ifdef __BYTE_ORDER__
static_assert(__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__, "numbers are kept low byte first");
#endif

constexpr uint8_t kTrimFromPot = 1;

// The numbers a robot is loaded with.
struct Settings {
  uint8_t version;             // kPartVersion
  uint8_t flags;               // kTrimFromPot: the potentiometer's two ends are the trim's limits
  char name[kNameSize];        // UTF-8, filled up with zeros
  uint16_t full_level;         // 1..32767
  int16_t usual_level;         // 1..full_level
  int16_t trim;                // where it is not read from the potentiometer
  int16_t trim_lowest;         // -1000..trim_highest - 1
  int16_t trim_highest;        // ..1000
  int16_t trim_share;          // robot/output.h
  uint16_t forward_ms;         // one press, at the usual level; 1..65535
  uint16_t back_ms;            //
  uint16_t left_ms;            //
  uint16_t right_ms;           //
  uint16_t rest_ms;            // standing still between two moves, 0..5000
  uint16_t hold_timeout_ms;    // 50..2000: run-on after the last frame of a held key
  uint16_t longest_run_s;      // 1..600: no list or trial runs longer
  uint16_t lowest_battery_mv;  // below it nothing runs; 0: any
  uint16_t repeat_window_us;   // robot/hold_to_drive.h
  uint32_t repeat_period_us;   // of repeat frames without address, more than 2 windows; 0: none
};
static_assert(sizeof(Settings) == 2 + kNameSize + 15 * 2 + 4, "no padding");

// Both wheels' levels for a time; levels as commanded, before trim acts.
struct TimedLevels {
  int16_t left;
  int16_t right;
  uint16_t ms;
};
static_assert(sizeof(TimedLevels) == 6, "no padding");

// A run to be made and measured: levels, time, and the trim it is meant to have.
struct Trial {
  TimedLevels levels;
  int16_t trim;
};
static_assert(sizeof(Trial) == 8, "no padding");

// One key of a hand remote: protocol, address and command as its frames have them.
struct MappedKey {
  uint32_t command;  // the frame's 24 bits, above them its third field
  uint16_t address;
  Protocol protocol;
  Motion motion;  // kStop to kBendRight, or kRunList
};
static_assert(sizeof(MappedKey) == 8, "no padding");

constexpr uint8_t kMostMoves = 35;
constexpr uint8_t kMostTrials = 8;
constexpr uint8_t kMostKeys = 8;

// The size of one item of a part (of the settings: what follows their version), and the most bytes.
constexpr uint8_t item_size(Part part) {
  return static_cast<uint8_t>(part == Part::kSettings ? sizeof(Settings) - 1
                              : part == Part::kMoves  ? sizeof(TimedLevels)
                                                      : sizeof(Trial));
}
static_assert(sizeof(Trial) == sizeof(MappedKey), "item_size");
constexpr uint8_t most_bytes(Part part) {
  return static_cast<uint8_t>(1 + item_size(part) * (part == Part::kSettings ? 1
                                                     : part == Part::kMoves  ? kMostMoves
                                                                             : kMostTrials));
}
static_assert(kMostTrials == kMostKeys, "most_bytes");

// Within the ranges stated at each field.
bool in_range(const Settings& settings);

}  // namespace robot
}  // namespace runtrue
