// The whole robot but for its hardware: keys, cable, remote and settings in, motor levels out.
//
// Freestanding C++14, nothing of any chip: a port (firmware/, the virtual robot, tests) calls
// `tick` every millisecond, hands over what the line and the receiver bring, and sets the motors
// to `duties`. One machine owns everything the robot remembers.
//
// When the motors turn. Only in kRunning (a list or trial begun by the go key) and kDriving (a key
// of the hand remote held, robot/hold_to_drive.h). They are off from reset until then, and off
// again at once on: the end of the list, any key of the robot, a key of the remote that says stop,
// any frame on the line good or bad or unknown, the cable, a low battery, the time limit, a part
// that can't be read. In kLoading they never turn. A port must besides switch them off by itself
// `off_after_ms` after the last tick, so that a program that hangs stops them too.
//
// Nothing here is a safety device.
#pragma once

#include <stdint.h>

#include "robot/hold_to_drive.h"
#include "robot/line.h"
#include "robot/output.h"
#include "robot/press_recorder.h"
#include "robot/pulse_reader.h"
#include "robot/run_log.h"
#include "robot/run_player.h"
#include "robot/store.h"

namespace runtrue {
namespace robot {

enum class Mode : uint8_t {
  kNoSettings,  // nothing was loaded yet: keys do nothing
  kReady,       //
  kRunning,     //
  kDriving,     //
  kLoading,     // the cable is in, or a greeting came over it
};

// Keys of the robot, one bit each.
constexpr uint8_t kKeyForward = 1;
constexpr uint8_t kKeyBack = 2;
constexpr uint8_t kKeyLeft = 4;
constexpr uint8_t kKeyRight = 8;
constexpr uint8_t kKeyGo = 16;

// A key counts once it has been the same for so long.
constexpr uint8_t kKeySteady_ms = 20;
// Go held so long clears the presses and begins the trials anew.
constexpr uint16_t kClearHold_ms = 2000;
// A battery may be below the lowest voltage for so long while a motor starts.
constexpr uint16_t kBatteryDip_ms = 500;

constexpr uint16_t kPotFull = 1023;
// The clock of hold to drive: the time-out is reached to within one of these.
constexpr uint8_t kHoldTick_ms = 10;
// A frame is known for one only behind its silence (kFrameGap_us), and then up to two ticks late.
constexpr uint8_t kHeardLate_ms = 9;

// What the port senses at a tick.
struct Sensed {
  uint8_t keys;         // those that are down
  uint16_t trim_pot;    // 0..kPotFull
  uint16_t battery_mv;  // 0: not measured
  bool cable;           // false where it can't be sensed
};

class Machine {
 public:
  // `memory` must outlive it; `capabilities` as robot/messages.h lists them.
  Machine(const Memory& memory, uint8_t capabilities);
  Machine(const Machine&) = delete;
  Machine& operator=(const Machine&) = delete;

  // A millisecond has passed.
  void tick(const Sensed& sensed);

  // An edge of the receiver's output, and that none has come up to `time_us`
  // (robot/pulse_reader.h).
  void edge(bool mark, uint32_t time_us);
  void silence(uint32_t time_us);

  // A byte came over the line / the next byte to send, false if there is none.
  void take_byte(uint8_t byte);
  bool next_byte(uint8_t& byte) { return writer_.next(byte); }
  bool speaks() const { return writer_.busy(); }

  Duties duties() const { return duties_; }
  // The motors must be off by then at the latest, whatever happens; 0 when they are off.
  uint16_t off_after_ms() const;

  Mode mode() const;
  const Settings& settings() const { return settings_; }
  const PressRecorder& presses() const { return presses_; }
  const RunLog& log() const { return log_; }
  const Store& store() const { return store_; }
  uint8_t next_trial() const { return next_trial_; }
  // The trim that would act now.
  int16_t trim_now() const;

 private:
  void load_parts();
  void find_next_trial();
  uint8_t trials() const { return store_.items(Part::kTrials); }
  void tick_keys();
  void press_go();
  void tick_run();
  void tick_hold();
  void begin_next();
  void begin(RunKind kind, uint8_t index);
  void end_run(Ending ending);
  void stop_for(Ending ending);
  void set_motors(int16_t left, int16_t right);
  bool battery_low() const;

  void hear_frame();

  void answer(const uint8_t* body, uint8_t size);
  Status answer_to(Ask ask, const uint8_t* payload, uint8_t size);
  Status write_part(Ask ask, const uint8_t* payload, uint8_t size);
  Status greet(uint8_t version);
  void tell(const void* bytes, uint8_t size);

  Store store_;
  RunLog log_;
  PressRecorder presses_;
  RunPlayer player_;
  LineReader reader_;
  LineWriter writer_;
  PulseReader pulses_;
  RemoteKey keys_of_remote_[kMostKeys] = {};
  HoldToDrive hold_;
  Settings settings_ = {};
  Sensed sensed_ = {};
  Duties duties_ = {};
  Trial trial_ = {};  // being run
  int16_t run_trim_ = 0;
  uint16_t run_battery_mv_ = 0;
  uint32_t run_ms_ = 0;
  uint16_t low_ms_ = 0;
  uint16_t go_ms_ = 0;  // how long go is down, counted only where it was pressed while ready
  uint8_t capabilities_;
  uint8_t told_ = 0;  // bytes of the answer so far
  uint8_t next_trial_ = 0;
  uint8_t keys_ = 0xFF;  // steady; whatever is down at reset must be let go first
  uint8_t raw_keys_ = 0xFF;
  uint8_t steady_ms_ = 0;
  uint8_t hold_phase_ms_ = 0;
  Motion drive_ = Motion::kNone;
  bool has_settings_ = false;
  bool running_ = false;
  bool greeted_ = false;
  bool go_down_ = false;
};

}  // namespace robot
}  // namespace runtrue
