#include "robot/hold_to_drive.h"

namespace runtrue {
namespace robot {
namespace {

// Half of the counter: a difference beyond it is negative.
constexpr uint32_t kLongAgo_us = 0x80000000UL;

void count_down(HoldToDrive::Press& press) {
  if (press.left != 0 && --press.left == 0) press.key = kNoKey;
}

void count_down(HoldToDrive::Repeats& repeats) {
  if (repeats.left != 0) --repeats.left;
}

bool is_press(const HoldToDrive::Press& press, uint8_t key, bool toggle) {
  return press.key == key && press.toggle == toggle;
}

}  // namespace

Motion HoldToDrive::frame(const Frame& frame, uint32_t start_us) {
  if (frame.repeat) {
    repeat(start_us);
    return Motion::kNone;
  }
  const uint8_t key = key_of(frame);
  if (key != kNoKey) return press(key, frame.toggle, start_us);
  state_.foreign = {start_us, rules_.ticks};
  return Motion::kNone;
}

void HoldToDrive::tick() {
  count_down(state_.held);
  count_down(state_.stopped);
  count_down(state_.own);
  count_down(state_.foreign);
}

void HoldToDrive::stand_still() {
  if (motion() != Motion::kNone) {
    state_.stopped = state_.held;
    state_.stopped.left = rules_.ticks;
  }
  state_.held = {kNoKey, 0, false};
  state_.own.left = 0;
}

Motion HoldToDrive::motion() const {
  if (state_.held.key == kNoKey) return Motion::kNone;
  const Motion motion = keys_[state_.held.key].motion;
  return motion >= Motion::kDrive && motion <= Motion::kBendRight ? motion : Motion::kNone;
}

uint8_t HoldToDrive::key_of(const Frame& frame) const {
  for (uint8_t i = 0; i < count_; ++i) {
    const RemoteKey& key = keys_[i];
    if (key.protocol == frame.protocol && key.address == frame.address &&
        key.command == frame.command && key.extended == frame.extended) {
      return i;
    }
  }
  return kNoKey;
}

Motion HoldToDrive::press(uint8_t key, bool toggle, uint32_t start_us) {
  const Motion motion = keys_[key].motion;
  const bool every_frame_is_a_press = rules_.period_us != 0;
  const bool anew = every_frame_is_a_press || !is_press(state_.held, key, toggle);
  if (motion == Motion::kStop) {
    stand_still();
  } else if (may_not_start(key, toggle)) {
    state_.foreign = {start_us, rules_.ticks};
    return Motion::kNone;
  }
  state_.held = {key, rules_.ticks, toggle};
  state_.own = {start_us, rules_.ticks};
  return anew ? motion : Motion::kNone;
}

// Whether the stop key is held, or this press was stopped by it and not let go since.
bool HoldToDrive::may_not_start(uint8_t key, bool toggle) {
  const bool stopped = rules_.period_us == 0 && is_press(state_.stopped, key, toggle);
  if (stopped) state_.stopped.left = rules_.ticks;
  return stopped || (state_.held.key != kNoKey && keys_[state_.held.key].motion == Motion::kStop);
}

void HoldToDrive::repeat(uint32_t start_us) {
  const bool foreign = fits(state_.foreign, start_us);
  if (foreign) state_.foreign = {start_us, rules_.ticks};
  if (!fits(state_.own, start_us) || foreign) return;
  if (keys_[state_.held.key].protocol > Protocol::kNec32) return;
  state_.held.left = rules_.ticks;
  state_.own.left = rules_.ticks;
}

bool HoldToDrive::fits(Repeats& repeats, uint32_t start_us) const {
  if (repeats.left == 0 || rules_.period_us == 0) return false;
  // From here the window opens; what came before it is far behind.
  uint32_t late_us = start_us - repeats.due_us + rules_.window_us;
  const uint16_t open_us = static_cast<uint16_t>(2 * rules_.window_us);
  for (; late_us > open_us && late_us < kLongAgo_us; late_us -= rules_.period_us) {
    repeats.due_us += rules_.period_us;
  }
  return late_us <= open_us;
}

}  // namespace robot
}  // namespace runtrue
