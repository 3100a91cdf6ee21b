// What the robot really ran: the last runs, kept in non-volatile memory and read back over the
// cable, so that what a person notes beside them can be checked.
//
// Freestanding C++14. Each entry bears its own FCS; a cut supply loses at most the one being
// written. Entries lie in a ring; the numbers tell their order.
#pragma once

#include <stdint.h>

#include "robot/memory.h"
#include "robot/messages.h"
#include "robot/store.h"

namespace runtrue {
namespace robot {

// What ran. Numbers are kept in memory and told over the line.
enum class RunKind : uint8_t { kTrial = 0, kMoveList = 1, kPressList = 2 };

// Why it ended. Numbers are kept in memory and told over the line.
enum class Ending : uint8_t {
  kFinished = 0,
  kKey = 1,        // a key on the robot
  kRemote = 2,     // a key of the hand remote
  kLine = 3,       // something came over the cable, good or bad, or the cable was plugged in
  kTimeLimit = 4,  //
  kBattery = 5,    // below the lowest voltage
  kBadPart = 6,    // the loaded part can't be played
};
constexpr uint8_t kEndings = 7;

// The bytes themselves, as in robot/parts.h.
struct LogEntry {
  uint16_t number;  // counts up from run to run
  RunKind kind;
  Ending ending;
  uint32_t on_ms;       // how long the motors were on in all
  int16_t left;         // levels of a trial; 0 of a list
  int16_t right;        //
  int16_t trim;         // that acted
  uint16_t battery_mv;  // before it; 0: not measured
  uint16_t part_fcs;    // of the loaded trials or moves, so that another batch is not taken for it
  uint8_t index;        // of the trial; of a list: how many of its moves were begun
  uint8_t spare;        // 0
};
static_assert(sizeof(LogEntry) == 20, "no padding");

constexpr uint8_t kKeptEntrySize = sizeof(LogEntry) + 2;  // its FCS behind it
constexpr uint8_t kMostLogEntries = 8;
static_assert(kAnswerHead + sizeof(LogEntry) <= kMostBody, "an entry fits a frame");

constexpr uint16_t kPressesPlace = kLogPlace + kMostLogEntries * kKeptEntrySize;

class RunLog {
 public:
  explicit RunLog(const Memory& memory);
  uint8_t count() const { return count_; }
  // An entry, 0 the oldest kept; index below count(). False where it is not good any more.
  bool entry(uint8_t index, LogEntry& entry) const;
  // Gives the entry its number.
  void add(LogEntry& entry);

 private:
  static uint16_t place_of(uint8_t slot);
  bool read(uint8_t slot, LogEntry& entry) const;

  const Memory& memory_;
  uint16_t number_ = 1;  // of the next entry
  uint8_t next_ = 0;     // slot
  uint8_t count_ = 0;
};

}  // namespace robot
}  // namespace runtrue
