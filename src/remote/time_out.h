// How long a robot waits for the next frame of a held key before it stops: stutters against run-on.
//
// A timer restarted at the end of each good frame must outlast the next one's end: with a period T,
// a clock error e and a jitter J a time-out of (m + 1) T (1 + e) + J rides over m lost frames in a
// row. A robot whose clock ticks every q counts N ticks of it, so its time-out lies anywhere in
// ((N - 1) q, N q]. With each frame lost by itself with chance p, a run of exactly j lost ones
// follows a good frame with chance p^j (1 - p), and stops the robot where the time-out is shorter
// than (j + 1) T. All derived; frames lost to another remote come in long blocks instead
// (room_plan.h) that no time-out rides over.
#pragma once

#include <vector>

#include "robot/frame.h"
#include "units/result.h"

namespace runtrue {

// Common practice: a quarter of a second.
inline constexpr double kUsualTick_s = 0.25;
// Mean of 1469 adults without the delay of the apparatus [Wood15]; children's is longer.
inline constexpr double kReaction_s = 0.23;

struct HoldCase {
  double period_s = 0.108;       // from frame to frame while a key is held
  double frame_s = 0.068;        // how long one lasts
  double lost = 0.01;            // chance that one is lost, 0 to 0.9
  double tick_s = kUsualTick_s;  // above 0
  double speed_mm_per_s = 200;   // at the usual level
  double clock_error = 0.015;
  double jitter_s = 0.005;
};

// By the protocol's sheet; a word that counts only beside its twin is two words long.
[[nodiscard]] HoldCase hold_case_of(robot::Protocol protocol);

// Rides over `lost_frames` in a row; -1 asks for nothing.
[[nodiscard]] double needed_time_out_s(const HoldCase& c, int lost_frames);

struct TimeOut {
  int ticks = 1;
  double shortest_s = 0, longest_s = 0;
  int rides_over = 0;  // frames lost in a row; -1: it stops between two frames with nothing lost
  double stutters_per_minute = 0;
  double mean_run_on_mm = 0;      // after the key is let go
  double farthest_run_on_mm = 0;  // from deciding to stop: reaction, a last frame, the longest wait
};

[[nodiscard]] TimeOut time_out_of(const HoldCase& c, int ticks);

// Few enough not to disturb a lesson (a choice of this project).
inline constexpr double kBearableStutters_per_minute = 1.0;
inline constexpr double kLongestTimeOut_s = 2.0;

struct TimeOutAdvice {
  std::vector<TimeOut> choices;  // from 1 tick up to kLongestTimeOut_s, at most 40
  std::size_t suggested = 0;     // the shortest that rides over a lost frame and stutters bearably,
                                 // else the last
};

// Errors: a value outside its range.
[[nodiscard]] Result<TimeOutAdvice> advise_time_out(const HoldCase& c);

}  // namespace runtrue
