// A robot with hidden motors, for tests, benchmarks and examples: what truing and forecast are
// tried on.
//
// Its physics is on purpose richer than the drive model of drive/settings.h, so that a method that
// only works on its own model fails here. It shares with the rest of the project only
// robot/output.h, the code that runs on the chip. It is not a model of any particular robot, and
// nothing that computes for a person may include it.
//
// Physics of one motor, with p the duty as a part of full, V the battery as a part of fresh:
//   dead band     d' = d/V; a standing wheel needs p >= d' + start extra, a turning one p > d'
//   [Mot6] speed         v = top·V·(1 + c)·x/(1 + c·x),  x = (p − d')/(1 − d'),  c the saturation
//   [Mot6] reverse       top speed and dead band are other ones [Mot6] spin-up       nothing for
//   the start lag, then first order with a time constant; another one for the run-down run-out the
//   rolling radius varies by e·cos(wheel angle + phase), phase new at every start
// Two wheels make the robot: v = (r + l)/2, turn rate = (r − l)/track, the track wider on the spot
// than rolling (scrub). Chance per run: a ratio on the curvature, one on the speed, one on the turn
// rate, and a heading kick as the castors swing round. The battery sinks with the time the motors
// are on.
//
// Which of these follow measurements and which are our choice is stated at each limit of
// `Population`.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "drive/pose.h"
#include "drive/robot.h"
#include "drive/settings.h"
#include "link/chance.h"

namespace runtrue {

struct HiddenMotor {
  double top_speed_mm_per_s = 500.0;  // at full duty, fresh battery, forward
  double reverse_ratio = 1.0;         // top speed in reverse as a part of it
  double dead_band = 0.15;            // d, part of full duty, forward
  double reverse_dead_band = 0.15;
  double start_extra = 0.05;  // part of full duty
  double saturation = 1.0;    // c, 0 = straight line
  double spin_up_s = 0.08;    // time constant
  double spin_down_s = 0.04;  // after the motors are off
  double start_lag_s = 0.02;  // before anything moves
  double run_out = 0.002;     // e, part of the radius
};

struct HiddenChance {
  double curvature_sd_per_mm = 1e-5;  // per run
  double speed_ratio_sd = 0.01;       // per run, both wheels together
  double turn_ratio_sd = 0.02;        // per run, turning on the spot
  double kick_sd_rad = 0.008;         // heading, while the castors swing round
};

struct HiddenTruth {
  Robot robot;  // the description a person has
  HiddenMotor left, right;
  HiddenChance chance;
  int trim_share = 16;               // as in robot/output.h; its sign is how the wheels are wired
  double rolling_track_ratio = 1.0;  // effective track width as a part of the described one
  double scrub_ratio = 1.04;         // the same on the spot, as a part of the rolling one
  double fresh_battery_v = 4.8;
  double droop_per_s = 0.0002;  // part of V lost per second of motors on
};

// The population robots are drawn from: one standard deviation or the limits of each property.
struct Population {
  // Forward left/right difference of top speed; with the dead bands' difference it makes a mismatch
  // at the usual level of 5 % (one sd). Measured pairs: 2 to 11 % at high duty [Mot6].
  double top_speed_difference_sd = 0.04;
  double dead_band_lowest = 0.08, dead_band_highest = 0.28;  // measured: 0.10 to 0.36 [Mot6]
  double dead_band_difference_sd = 0.009;  // part of full; measured 0.015 once, 0.1 once [Mot6]
  double start_extra_lowest = 0.03, start_extra_highest = 0.12;  // measured 0.15 once [Mot6]
  double saturation_lowest = 0.2,
         saturation_highest = 4.0;  // measured pairs look like 0 and 4 [Mot6]
  double reverse_difference_sd =
      0.03;  // measured: ratio 1.08 forward, 0.83 in reverse at low duty [Mot6]
  double top_speed_lowest_mm_per_s = 300, top_speed_highest_mm_per_s = 800;  // our choice
  double spin_up_lowest_s = 0.04, spin_up_highest_s = 0.12;                  // our choice
  // One count of trim on the mismatch at the usual level; the sign is drawn too. Our choice.
  double trim_effect_lowest = 0.002, trim_effect_highest = 0.006;
  double trim_to_the_left_probability = 0.5;  // that a higher trim bends it to the left
  // 1 to 6 mm/m: an open set of a careful robot's straight runs allows up to 6 at this track
  // [Sous22].
  double curvature_sd_lowest_per_mm = 2e-6, curvature_sd_highest_per_mm = 1.2e-5;
  double kick_sd_lowest_rad = 0.003, kick_sd_highest_rad = 0.015;  // our choice
  double run_out_highest = 0.004;                                  // our choice
  double track_ratio_sd =
      0.015;  // where a wide tyre rolls; effective track by manoeuvre differs by percents
  double droop_highest_per_s = 0.0005;  // measured 6 % of voltage over one session once [Mot6]
};

struct VirtualRobotOptions {
  std::string name = "Robot";
  Length track_width = Length::from_mm(140);
  Population population;
};

[[nodiscard]] HiddenTruth draw_hidden_truth(Rng& rng, const VirtualRobotOptions& options = {});

// Where the robot was, every 10 ms and at the end, from its start pose at the origin along +x.
struct TimedPose {
  double time_s = 0.0;
  Pose pose;
};
struct DrivenPath {
  std::vector<TimedPose> poses;  // never empty: at least the start
  bool started = false;          // false: the level was too low to get going
  [[nodiscard]] const Pose& end() const { return poses.back().pose; }
};

// Something that happens to a run from outside: after `at_distance_mm` of way the heading is
// knocked by `heading_rad`.
struct Bump {
  double at_distance_mm = 0.0;
  double heading_rad = 0.0;
};

struct DriveExtras {
  std::vector<Bump> bumps;
  // Asked every 10 ms; true ends the run at once (a hand takes the robot away).
  std::function<bool(const Pose&)> taken_away;
};

class VirtualRobot {
 public:
  explicit VirtualRobot(HiddenTruth truth);

  // Drives one timed command from standing to standing, in steps of 2 ms. The battery is lower
  // afterwards.
  DrivenPath drive(const WheelCommand& command, Trim trim, Rng& rng,
                   const DriveExtras& extras = {});

  void charge() { battery_ = 1.0; }
  // The motors were on for that long.
  void drain(double on_s);
  [[nodiscard]] double battery() const { return battery_; }  // part of fresh
  [[nodiscard]] double battery_v() const { return battery_ * truth_.fresh_battery_v; }
  [[nodiscard]] const Robot& robot() const { return truth_.robot; }
  [[nodiscard]] const HiddenTruth& truth() const { return truth_; }

  // What no tape can see, for scoring: curvature of a straight once both wheels have their speed,
  // at the present battery, without chance; 0 where a wheel stands.
  [[nodiscard]] Curvature true_curvature(Level level, Trim trim) const;
  [[nodiscard]] Speed true_speed(Level level, Trim trim) const;
  // The whole trim of the robot's range with the least |drift| at that level.
  [[nodiscard]] Trim true_best_trim(Level level) const;

 private:
  HiddenTruth truth_;
  double battery_ = 1.0;  // part of fresh
};

// The population that the robots of one set come from: of one kit, so the way the trim is wired is
// the same and its effect, the dead band and the motors' curve differ little; the pairs of motors
// differ as before. Our choice.
[[nodiscard]] Population draw_set_population(Rng& rng, const Population& all = {});

[[nodiscard]] VirtualRobot draw_virtual_robot(Rng& rng, const VirtualRobotOptions& options = {});

}  // namespace runtrue
