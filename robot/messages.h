// Every message between the program and the robot, in one place; docs/link.md is its prose.
//
// Freestanding C++14. The program asks, the robot answers each question once and says nothing of
// its own accord. Body of a question: tag, Ask, payload. Body of an answer: the same tag, Ask with
// kAnswerBit, Status, payload. Numbers are low byte first. Every question may be sent again without
// harm: that is how a lost frame is mended. Numbers below stand on the line and in the robot's
// memory: they are never given a new meaning.
#pragma once

#include <stdint.h>

#include "robot/line.h"

namespace runtrue {
namespace robot {

constexpr uint8_t kProtocolVersion = 1;
constexpr uint8_t kCoreMajor = 0;
constexpr uint8_t kCoreMinor = 1;
constexpr uint32_t kBaud = 38400;  // 0.2 % off at 16 MHz

enum class Ask : uint8_t {
  kGreet = 1,   // version u8 -> Greeting; begins loading: the motors are off till kLeave
  kBegin = 2,   // part u8, length u16 -> nothing; the part's other copy is to be written
  kData = 3,    // part u8, offset u16, bytes -> nothing
  kCommit = 4,  // part u8, length u16, fcs u16 -> nothing; from now on the new copy holds
  kPart = 5,    // part u8 -> length u16, fcs u16 of the copy that holds
  kState = 6,   // -> StateAnswer
  kLog = 7,     // index u8, 0 the oldest kept -> log entry as kept (robot/run_log.h)
  kLeave = 8,   // -> nothing; the cable may be pulled
};
constexpr uint8_t kAnswerBit = 0x80;

enum class Status : uint8_t {
  kDone = 0,
  kNotGreeted = 1,    // anything but kGreet outside of loading
  kUnknown = 2,       // no such question
  kWrongSize = 3,     // the payload's size does not fit the question
  kNoSuchPart = 4,    //
  kTooLong = 5,       // more than the part's place in memory
  kNotBegun = 6,      // data or commit of a part that was not begun
  kWrongCheck = 7,    // the bytes that arrived are not those that were meant
  kOutOfRange = 8,    // the part's contents are refused
  kNothing = 9,       // no such part or entry is kept
  kWrongVersion = 10  // of the protocol, or of a part
};
constexpr uint8_t kStatuses = 11;

enum class Part : uint8_t { kSettings = 0, kMoves = 1, kTrials = 2, kKeys = 3 };
constexpr uint8_t kParts = 4;

// The first byte of every part's contents.
constexpr uint8_t kPartVersion = 1;

// Capabilities told in the greeting.
constexpr uint8_t kHasTrimPot = 1;       // trim can be read from a potentiometer
constexpr uint8_t kMeasuresBattery = 2;  //
constexpr uint8_t kSensesCable = 4;      // pulling the cable ends loading

constexpr uint8_t kNameSize = 16;

// Payloads of answers; the structs are the bytes themselves, as in robot/parts.h.
struct Greeting {
  uint8_t version;  // kProtocolVersion
  uint8_t core_major;
  uint8_t core_minor;
  uint8_t capabilities;
  uint8_t most_moves;
  uint8_t most_trials;
  uint8_t most_keys;
  uint8_t most_presses;
  char name[kNameSize];  // UTF-8, filled up with zeros; all zeros: no settings were loaded yet
};
struct PartAnswer {
  uint16_t length;
  uint16_t fcs;
};
struct StateAnswer {
  int16_t trim;         // as it would act now
  uint16_t battery_mv;  // 0: not measured
  uint8_t trials;
  uint8_t next_trial;
  uint8_t log_entries;
  uint8_t presses;
};
static_assert(sizeof(Greeting) == 8 + kNameSize && sizeof(PartAnswer) == 4 &&
                  sizeof(StateAnswer) == 8,
              "no padding");

constexpr uint8_t kQuestionHead = 2;
constexpr uint8_t kAnswerHead = 3;
constexpr uint8_t kDataHead = 3;
constexpr uint8_t kMostData = 24;  // bytes of a part in one kData
static_assert(kQuestionHead + kDataHead + kMostData <= kMostBody, "data fits a frame");
static_assert(kAnswerHead + sizeof(Greeting) <= kMostBody, "the greeting fits a frame");

}  // namespace robot
}  // namespace runtrue
