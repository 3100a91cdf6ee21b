#include "robot/run_player.h"

#include "robot/shared_code.h"

namespace runtrue {
namespace robot {
namespace {

TimedLevels levels_of(Press press, const Settings& settings) {
  const int16_t level = settings.usual_level;
  const int16_t back = static_cast<int16_t>(-level);
  switch (press) {
    case Press::kForward:
      return {level, level, settings.forward_ms};
    case Press::kBack:
      return {back, back, settings.back_ms};
    case Press::kLeft:
      return {back, level, settings.left_ms};
    case Press::kRight:
      return {level, back, settings.right_ms};
  }
  return {0, 0, 0};
}

}  // namespace

void RunPlayer::begin(RunKind kind, uint8_t index) {
  stop();
  kind_ = kind;
  index_ = index;
  next_ = 0;
  on_ms_ = 0;
  finished_ = false;
  wait_ms_ = kStartWait_ms;
}

RUNTRUE_SHARED void RunPlayer::stop() {
  now_ = TimedLevels{0, 0, 0};
  left_ms_ = 0;
}

RUNTRUE_SHARED uint8_t RunPlayer::count(const Store& store, const PressRecorder& presses) const {
  if (kind_ == RunKind::kTrial) return 1;
  if (kind_ == RunKind::kPressList) return presses.count();
  return store.items(Part::kMoves);
}

// The next move into `now_`.
bool RunPlayer::fetch(const Store& store, const PressRecorder& presses, const Settings& settings) {
  if (kind_ == RunKind::kPressList) {
    now_ = levels_of(presses.press(next_), settings);
  } else {
    const bool trial = kind_ == RunKind::kTrial;
    Trial item = {};
    store.item(trial ? Part::kTrials : Part::kMoves, trial ? index_ : next_, &item);
    now_ = item.levels;
  }
  left_ms_ = now_.ms;
  ++next_;
  return left_ms_ > 0;
}

bool RunPlayer::tick(const Store& store, const PressRecorder& presses, const Settings& settings) {
  if (left_ms_ > 0) {
    if (moving()) ++on_ms_;
    if (--left_ms_ > 0) return true;
    const bool paused = !moving();
    stop();
    finished_ = next_ >= count(store, presses);
    if (finished_) return false;
    wait_ms_ = paused ? 0 : settings.rest_ms;
  } else if (wait_ms_ > 0) {
    --wait_ms_;
  }
  if (wait_ms_ > 0) return true;
  if (next_ >= count(store, presses) || !fetch(store, presses, settings)) {
    stop();
    return false;
  }
  return true;
}

}  // namespace robot
}  // namespace runtrue
