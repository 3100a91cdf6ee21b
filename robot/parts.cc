#include "robot/parts.h"

namespace runtrue {
namespace robot {

bool in_range(const Settings& s) {
  constexpr uint16_t kHighest = 32767;
  constexpr int16_t kWidestTrim = 1000;
  if (s.full_level < 1 || s.full_level > kHighest) return false;
  if (s.usual_level < 1 || static_cast<uint16_t>(s.usual_level) > s.full_level) return false;
  if (s.trim_lowest < -kWidestTrim || s.trim_highest > kWidestTrim) return false;
  if (s.trim_lowest >= s.trim_highest) return false;
  if (s.trim < s.trim_lowest || s.trim > s.trim_highest) return false;
  if (s.forward_ms == 0 || s.back_ms == 0 || s.left_ms == 0 || s.right_ms == 0) return false;
  if (s.rest_ms > 5000 || s.hold_timeout_ms < 50 || s.hold_timeout_ms > 2000) return false;
  if (s.repeat_period_us != 0 && s.repeat_period_us <= 2UL * s.repeat_window_us) return false;
  if (s.repeat_window_us > 10000 || s.repeat_period_us > 500000) return false;
  return s.longest_run_s >= 1 && s.longest_run_s <= 600;
}

}  // namespace robot
}  // namespace runtrue
