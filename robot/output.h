// From wanted levels and a trim to what the two motor outputs are set to. Integers only.
//
// Freestanding C++14: no heap, no exceptions, no floating point, nothing of the hardware. The same
// code runs on the robot's chip, in the virtual robot and in the host's tests.
//
// Rule. A level u of a full level F asks for the duty D = u·16384/F, rounded to nearest. The trim t
// shifts the balance by s = t·share parts of 16384 (clamped to a quarter): the left wheel gets
// |D|·(16384 − s)/16384, the right wheel |D|·(16384 + s)/16384, so one count changes the ratio
// right/left of the duties by 2·share/16384. Where a wheel would pass the full duty both are
// lowered by the excess, which keeps their difference. A level of 0 stays exactly 0: trim never
// starts a motor. Forward and backward are mirror images: levels (−l, −r) give the duties of (l, r)
// negated.
#pragma once

#include <stdint.h>

namespace runtrue {
namespace robot {

constexpr int16_t kFullDuty = 16384;
constexpr int16_t kUsualTrimShare = 16;  // one count: 0.195 % of the duty ratio
constexpr int16_t kLargestShift = 4096;  // a quarter

struct OutputRules {
  uint16_t full_level;  // 1..65535
  int16_t trim_share;   // parts of 16384 per count; negative where the wheels are wired the other
                        // way round
};

struct Duties {
  int16_t left;  // −16384..16384
  int16_t right;
};

// Levels beyond the full level are cut to it; a full level of 0 counts as 1. Any input is safe.
Duties put_out(int32_t left_level, int32_t right_level, int16_t trim, const OutputRules& rules);

}  // namespace robot
}  // namespace runtrue
