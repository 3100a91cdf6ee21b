// Random inputs for the core and all it answers, the same on the host and on the chip: what the
// two say must agree to the last bit.
//
// Freestanding C++14. The inputs come from a plain linear generator with a fixed seed, so both
// sides make them by themselves. `tell` is given every answer as bytes.
#pragma once

#include <stdint.h>
#include <string.h>

#include "robot/fcs16.h"
#include "robot/machine.h"

namespace runtrue {
namespace robot {

constexpr uint16_t kOutputVectors = 10000;
constexpr uint16_t kMachineVectors = 3000;

class Chance {
 public:
  uint32_t next() {
    x_ = x_ * uint32_t{1664525} + uint32_t{1013904223};
    return x_;
  }
  uint16_t bits16() { return static_cast<uint16_t>(next() >> 16); }
  uint8_t below(uint8_t limit) { return static_cast<uint8_t>((next() >> 24) * limit >> 8); }

 private:
  uint32_t x_ = 2026;
};

// Levels, trim, full level and share of any size, and now and then the usual ones.
template <class Tell>
void tell_outputs(Chance& chance, Tell& tell) {
  for (uint16_t i = 0; i < kOutputVectors; ++i) {
    const bool usual = chance.below(2) == 0;
    OutputRules rules{chance.bits16(), static_cast<int16_t>(chance.bits16())};
    int32_t left = static_cast<int32_t>(chance.next());
    int32_t right = static_cast<int32_t>(chance.next());
    int16_t trim = static_cast<int16_t>(chance.bits16());
    if (usual) {
      rules = OutputRules{255, kUsualTrimShare};
      left = left % 300;
      right = right % 300;
      trim = static_cast<int16_t>(trim % 31);
    }
    const Duties duties = put_out(left, right, trim, rules);
    tell(&duties, sizeof duties);
  }
}

// A robot that is loaded and then has all kinds of things done to it.
class TriedMachine {
 public:
  explicit TriedMachine(Chance& chance) : chance_(chance), memory_(read, write, bytes_) {
    memset(bytes_, 0xFF, sizeof bytes_);
    Store store(memory_);
    const Settings settings = {kPartVersion, 0,  "Vectors", 255, 128, 5,  -30,  30,   16,      90,
                               110,          70, 130,       40,  250, 20, 4200, 2000, 108000UL};
    keep(store, Part::kSettings, &settings, sizeof settings);
    struct {
      uint8_t version = kPartVersion;
      uint8_t items[3 * sizeof(MappedKey)];
    } part;
    const MappedKey keys[] = {{5, 17, Protocol::kNec, Motion::kDrive},
                              {6, 17, Protocol::kNec, Motion::kBendLeft},
                              {7, 17, Protocol::kNec, Motion::kRunList}};
    memcpy(part.items, keys, sizeof keys);
    keep(store, Part::kKeys, &part, sizeof part);
    const Trial trials[] = {{{128, 128, 150}, -4}, {{-90, 90, 80}, 11}, {{200, 255, 40}, 30}};
    memcpy(part.items, trials, sizeof trials);
    keep(store, Part::kTrials, &part, sizeof part);
    const TimedLevels moves[] = {{128, 128, 60}, {0, 0, 30}, {-255, 250, 45}, {77, 200, 20}};
    memcpy(part.items, moves, sizeof moves);
    keep(store, Part::kMoves, &part, sizeof part);
  }

  template <class Tell>
  void tell_all(Tell& tell) {
    Machine machine(memory_, kHasTrimPot | kMeasuresBattery | kSensesCable);
    for (uint16_t i = 0; i < kMachineVectors; ++i) {
      spoken_ = kFcsStart;
      do_something(machine);
      const Duties duties = machine.duties();
      tell(&duties, sizeof duties);
      const uint16_t words[] = {machine.off_after_ms(), static_cast<uint16_t>(machine.trim_now()),
                                spoken_};
      tell(words, sizeof words);
      const uint8_t counts[] = {static_cast<uint8_t>(machine.mode()), machine.next_trial(),
                                machine.presses().count(), machine.log().count()};
      tell(counts, sizeof counts);
    }
    tell(bytes_, 255);  // what is kept
    tell(bytes_ + 255, 255);
    tell(bytes_ + 510, 255);
    tell(bytes_ + 765, 255);
  }

 private:
  static uint8_t read(void* bytes, uint16_t place) { return static_cast<uint8_t*>(bytes)[place]; }
  static void write(void* bytes, uint16_t place, uint8_t byte) {
    static_cast<uint8_t*>(bytes)[place] = byte;
  }
  static void keep(Store& store, Part part, const void* bytes, uint8_t size) {
    const uint8_t* const first = static_cast<const uint8_t*>(bytes);
    store.begin(part, size);
    store.data(part, 0, first, size);
    store.commit(part, size, fcs16(first, size));
  }

  void do_something(Machine& machine) {
    const uint8_t what = chance_.below(64);
    if (what < 24) {
      sensed_.keys = what < 8 ? static_cast<uint8_t>(1U << chance_.below(5)) : uint8_t{0};
      sensed_.trim_pot = static_cast<uint16_t>(chance_.bits16() >> 5);
    } else if (what < 26) {
      sensed_.cable = chance_.below(4) == 0;
      sensed_.battery_mv = chance_.below(8) == 0 ? uint16_t{4000} : uint16_t{4800};
    } else if (what < 30) {
      press_remote(machine);
    } else if (what < 42) {
      ask(machine);
    } else if (what < 44) {
      for (uint8_t i = 0; i < 8; ++i) take(machine, static_cast<uint8_t>(chance_.next() >> 24));
    }
    if (what == 63) press_go(machine);
    pass(machine, chance_.below(12));
  }

  // Go, and the time till the motors have come on, or gone off again.
  void press_go(Machine& machine) {
    sensed_.cable = false;
    sensed_.keys = kKeyGo;
    pass(machine, 30);
    sensed_.keys = 0;
    pass(machine, static_cast<uint16_t>(kStartWait_ms + 30 + chance_.below(150)));
  }

  void pass(Machine& machine, uint16_t ticks) {
    for (; ticks > 0; --ticks) {
      machine.tick(sensed_);
      now_us_ += 1000;
    }
    machine.silence(now_us_);
  }

  void take(Machine& machine, uint8_t byte) {
    machine.take_byte(byte);
    for (uint8_t said = 0; machine.next_byte(said);) spoken_ = fcs16_add(spoken_, said);
  }

  // A question of any kind, most of them with a payload of a size that fits.
  void ask(Machine& machine) {
    uint8_t buffer[kLineBuffer] = {};
    const uint8_t kind = static_cast<uint8_t>(chance_.below(10));
    uint8_t size = chance_.below(8);
    if (kind == static_cast<uint8_t>(Ask::kGreet)) size = 1;
    buffer[0] = chance_.below(255);
    buffer[1] = kind;
    for (uint8_t i = 0; i < size; ++i) buffer[2 + i] = chance_.below(6);
    if (kind == static_cast<uint8_t>(Ask::kGreet)) buffer[2] = kProtocolVersion;
    LineWriter writer(buffer);
    writer.start(static_cast<uint8_t>(kQuestionHead + size));
    const bool spoil = chance_.below(16) == 0;
    for (uint8_t byte = 0; writer.next(byte);) {
      take(machine, spoil && chance_.below(4) == 0 ? static_cast<uint8_t>(byte ^ 4U) : byte);
    }
  }

  // A frame of 32 bits as NEC has them, now and then with a wrong one.
  void press_remote(Machine& machine) {
    const uint8_t address = 17;
    const uint8_t command = static_cast<uint8_t>(4 + chance_.below(5));
    uint8_t bytes[4] = {address, static_cast<uint8_t>(~address), command,
                        static_cast<uint8_t>(~command)};
    if (chance_.below(8) == 0) bytes[chance_.below(4)] ^= 16;
    level(machine, true, 9000);
    level(machine, false, 4500);
    for (uint8_t bit = 0; bit < 32; ++bit) {
      level(machine, true, 562);
      level(machine, false, (bytes[bit / 8] >> bit % 8 & 1) != 0 ? 1687 : 562);
    }
    level(machine, true, 562);
    machine.edge(false, now_us_);
    pass(machine, 30);
  }
  void level(Machine& machine, bool mark, uint16_t us) {
    machine.edge(mark, now_us_);
    now_us_ += us + chance_.below(80);
  }

  Chance& chance_;
  uint8_t bytes_[1024];
  Memory memory_;
  Sensed sensed_ = {};
  uint32_t now_us_ = 0xFFF00000UL;  // it wraps around soon
  uint16_t spoken_ = 0;
};

template <class Tell>
void tell_vectors(Tell tell) {
  Chance chance;
  tell_outputs(chance, tell);
  TriedMachine machine(chance);
  machine.tell_all(tell);
}

}  // namespace robot
}  // namespace runtrue
