#include "robot/machine.h"

#include "robot/shared_code.h"

namespace runtrue {
namespace robot {

Machine::Machine(const Memory& memory, uint8_t capabilities)
    : store_(memory),
      log_(memory),
      presses_(memory),
      writer_(reader_.buffer()),
      hold_(keys_of_remote_, 0, HoldRules{0, 0, 1}),
      capabilities_(capabilities) {
  load_parts();
  find_next_trial();
}

void Machine::load_parts() {
  has_settings_ = store_.size(Part::kSettings) == sizeof settings_;
  if (has_settings_) store_.item(Part::kSettings, 0, &settings_);
  const uint8_t keys = store_.items(Part::kKeys);
  for (uint8_t i = 0; i < keys; ++i) {
    MappedKey key;
    store_.item(Part::kKeys, i, &key);
    keys_of_remote_[i] =
        RemoteKey{static_cast<uint32_t>(key.command & 0xFFFFFFUL), key.address, key.protocol,
                  static_cast<uint8_t>(key.command >> 24), key.motion};
  }
  const uint8_t ticks =
      has_settings_
          ? static_cast<uint8_t>((settings_.hold_timeout_ms - kHeardLate_ms) / kHoldTick_ms)
          : static_cast<uint8_t>(1);
  hold_ = HoldToDrive(keys_of_remote_, keys,
                      HoldRules{settings_.repeat_period_us, settings_.repeat_window_us, ticks});
}

// Goes on behind the trial that the log says was the last one finished.
void Machine::find_next_trial() {
  next_trial_ = 0;
  for (uint8_t i = 0; i < log_.count(); ++i) {
    LogEntry entry;
    if (!log_.entry(i, entry) || entry.kind != RunKind::kTrial) continue;
    if (entry.ending != Ending::kFinished || entry.part_fcs != store_.fcs(Part::kTrials)) continue;
    next_trial_ = static_cast<uint8_t>(entry.index + 1);
  }
}

Mode Machine::mode() const {
  if (greeted_ || sensed_.cable) return Mode::kLoading;
  if (!has_settings_) return Mode::kNoSettings;
  if (running_) return Mode::kRunning;
  return drive_ != Motion::kNone ? Mode::kDriving : Mode::kReady;
}

uint16_t Machine::off_after_ms() const {
  if (running_) return player_.ms_left();
  if (drive_ == Motion::kNone) return 0;
  return static_cast<uint16_t>(hold_.state().held.left * kHoldTick_ms - hold_phase_ms_);
}

int16_t Machine::trim_now() const {
  if ((settings_.flags & kTrimFromPot) == 0) return settings_.trim;
  const uint16_t pot = sensed_.trim_pot > kPotFull ? kPotFull : sensed_.trim_pot;
  const uint16_t range = static_cast<uint16_t>(settings_.trim_highest - settings_.trim_lowest);
  const uint32_t part = static_cast<uint32_t>(range) * pot + kPotFull / 2;
  return static_cast<int16_t>(settings_.trim_lowest + static_cast<int16_t>(part / kPotFull));
}

RUNTRUE_SHARED bool Machine::battery_low() const {
  return sensed_.battery_mv != 0 && sensed_.battery_mv < settings_.lowest_battery_mv;
}

RUNTRUE_SHARED void Machine::set_motors(int16_t left, int16_t right) {
  if (left == 0 && right == 0) {
    duties_ = Duties{0, 0};
    return;
  }
  duties_ =
      put_out(left, right, run_trim_, OutputRules{settings_.full_level, settings_.trim_share});
}

void Machine::tick(const Sensed& sensed) {
  const bool pulled = sensed_.cable && !sensed.cable;
  sensed_ = sensed;
  if (pulled) greeted_ = false;
  if (sensed.cable) stop_for(Ending::kLine);
  tick_keys();
  tick_hold();
  if (running_) tick_run();
}

// The wheels follow what the remote holds.
RUNTRUE_SHARED void Machine::tick_hold() {
  if (++hold_phase_ms_ == kHoldTick_ms) {
    hold_phase_ms_ = 0;
    hold_.tick();
  }
  if (drive_ == Motion::kNone && hold_.motion() == Motion::kNone) return;
  if (battery_low() && ++low_ms_ >= kBatteryDip_ms) hold_.stand_still();
  const Motion motion = hold_.motion();
  if (motion == drive_) return;
  if (drive_ == Motion::kNone) {
    run_trim_ = trim_now();
    low_ms_ = 0;
  }
  drive_ = motion;
  const int16_t full = settings_.usual_level;
  const int16_t half = static_cast<int16_t>(full / 2);
  int16_t left = full;
  int16_t right = full;
  if (motion == Motion::kNone) left = right = 0;
  if (motion == Motion::kReverse || motion == Motion::kTurnLeft) left = static_cast<int16_t>(-full);
  if (motion == Motion::kReverse || motion == Motion::kTurnRight) {
    right = static_cast<int16_t>(-full);
  }
  if (motion == Motion::kBendLeft) left = half;
  if (motion == Motion::kBendRight) right = half;
  set_motors(left, right);
}

void Machine::tick_keys() {
  if (sensed_.keys != raw_keys_) {
    raw_keys_ = sensed_.keys;
    steady_ms_ = 0;
  } else if (steady_ms_ < kKeySteady_ms) {
    ++steady_ms_;
  }
  const uint8_t before = keys_;
  if (steady_ms_ == kKeySteady_ms) keys_ = raw_keys_;
  const uint8_t pressed = static_cast<uint8_t>(keys_ & ~before);
  if (pressed != 0 && (running_ || drive_ != Motion::kNone)) {
    stop_for(Ending::kKey);
    go_down_ = false;
    return;
  }
  if (mode() != Mode::kReady) {
    go_down_ = false;
    return;
  }
  if ((pressed & kKeyGo) != 0) {
    go_down_ = true;
    go_ms_ = 0;
  } else if (pressed != 0) {
    Press press = Press::kForward;
    if ((pressed & kKeyBack) != 0) press = Press::kBack;
    if ((pressed & kKeyLeft) != 0) press = Press::kLeft;
    if ((pressed & kKeyRight) != 0) press = Press::kRight;
    presses_.add(press);
  }
  if (go_down_) press_go();
}

// Go is down, or was until now.
void Machine::press_go() {
  if ((keys_ & kKeyGo) != 0) {
    if (++go_ms_ < kClearHold_ms) return;
    presses_.clear();
    next_trial_ = 0;
    go_down_ = false;
    return;
  }
  go_down_ = false;
  begin_next();
}

void Machine::begin_next() {
  if (next_trial_ < trials()) {
    begin(RunKind::kTrial, next_trial_);
  } else if (presses_.count() > 0) {
    begin(RunKind::kPressList, 0);
  } else if (store_.items(Part::kMoves) > 0) {
    begin(RunKind::kMoveList, 0);
  }
}

void Machine::begin(RunKind kind, uint8_t index) {
  run_trim_ = trim_now();
  trial_ = Trial{};
  if (kind == RunKind::kTrial) {
    store_.item(Part::kTrials, index, &trial_);
    if ((settings_.flags & kTrimFromPot) == 0) run_trim_ = trial_.trim;
  }
  run_battery_mv_ = sensed_.battery_mv;
  run_ms_ = 0;
  low_ms_ = 0;
  player_.begin(kind, index);
  running_ = true;
  if (battery_low()) end_run(Ending::kBattery);
}

void Machine::tick_run() {
  ++run_ms_;
  low_ms_ = battery_low() ? static_cast<uint16_t>(low_ms_ + 1) : static_cast<uint16_t>(0);
  if (low_ms_ >= kBatteryDip_ms) return end_run(Ending::kBattery);
  if (run_ms_ >= static_cast<uint32_t>(settings_.longest_run_s) * 1000U) {
    return end_run(Ending::kTimeLimit);
  }
  const int16_t left = player_.left();
  const int16_t right = player_.right();
  if (!player_.tick(store_, presses_, settings_)) {
    return end_run(player_.finished() ? Ending::kFinished : Ending::kBadPart);
  }
  if (player_.left() != left || player_.right() != right) {
    set_motors(player_.left(), player_.right());
  }
}

void Machine::edge(bool mark, uint32_t time_us) {
  if (pulses_.edge(mark, time_us) == Heard::kFrame) hear_frame();
}

void Machine::silence(uint32_t time_us) {
  if (pulses_.silence(time_us) == Heard::kFrame) hear_frame();
}

void Machine::hear_frame() {
  const Mode now = mode();
  if (now == Mode::kNoSettings || now == Mode::kLoading) return;
  const Motion pressed = hold_.frame(pulses_.frame(), pulses_.start_us());
  if (pressed == Motion::kNone) return;
  if (running_) {
    stop_for(Ending::kRemote);
  } else if (pressed == Motion::kRunList && now == Mode::kReady) {
    begin_next();
  }
}

// Whatever turns the motors ends here, and what is held on the remote must be let go first.
void Machine::stop_for(Ending ending) {
  hold_.stand_still();
  if (drive_ != Motion::kNone) {
    drive_ = Motion::kNone;
    set_motors(0, 0);
  }
  if (running_) end_run(ending);
}

// Motors first, memory afterwards: writing takes tens of milliseconds.
void Machine::end_run(Ending ending) {
  set_motors(0, 0);
  player_.stop();
  running_ = false;
  LogEntry entry = {};
  entry.kind = player_.kind();
  entry.index = entry.kind == RunKind::kTrial ? player_.index() : player_.begun();
  entry.ending = ending;
  entry.left = trial_.levels.left;
  entry.right = trial_.levels.right;
  entry.trim = run_trim_;
  entry.on_ms = player_.on_ms();
  entry.battery_mv = run_battery_mv_;
  entry.part_fcs = store_.fcs(entry.kind == RunKind::kTrial ? Part::kTrials : Part::kMoves);
  log_.add(entry);
  if (entry.kind == RunKind::kTrial && ending == Ending::kFinished) ++next_trial_;
}

}  // namespace robot
}  // namespace runtrue
