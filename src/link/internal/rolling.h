// The physics of link/virtual_robot.h, step by step: what two wheels do under the duties that they
// are given, and where that takes the robot. The hidden truth must outlive it.
#pragma once

#include <vector>

#include "drive/pose.h"
#include "link/chance.h"
#include "link/virtual_robot.h"
#include "robot/output.h"

namespace runtrue {

inline constexpr double kRollingStep_s = 0.002;

// Speed a wheel settles at, signed; 0 within the dead band. Battery as a part of fresh.
[[nodiscard]] double settled_speed(const HiddenMotor& motor, int duty, double battery);

class RollingWheel {
 public:
  RollingWheel(const HiddenMotor& motor, double diameter_mm)
      : motor_(motor), radius_mm_(diameter_mm / 2.0) {}

  // A new run: the wheel lies on the floor with another place of its rim.
  void begin(double phase);
  // From now on. False where the wheel stands and the duty is too low to get it going.
  bool set(int duty, double battery);
  // Speed of the rim on the ground after the next step.
  double step();
  [[nodiscard]] bool stands() const;

 private:
  const HiddenMotor& motor_;
  double radius_mm_;
  double settled_ = 0.0;
  double phase_ = 0.0;
  double speed_ = 0.0;
  double angle_ = 0.0;
  int steps_ = 0;  // since it was switched on standing
  bool powered_ = false;
};

class Rolling {
 public:
  // Stands at the origin along +x.
  explicit Rolling(const HiddenTruth& truth);

  // The motors are about to be switched on: draws what chance does to this run.
  void begin(Rng& rng, std::vector<Bump> bumps = {});
  // From now on; false where neither wheel gets going or turns.
  bool set(const robot::Duties& duties, double battery);
  void step();
  [[nodiscard]] bool stands() const { return left_.stands() && right_.stands(); }
  [[nodiscard]] const Pose& pose() const { return pose_; }
  void put_down(const Pose& pose) { pose_ = pose; }

 private:
  // What chance does to one run, drawn once at its start, always in the same order.
  struct Chance {
    double curvature_per_mm = 0.0, speed_ratio = 1.0, turn_ratio = 1.0, kick_rad = 0.0;
  };
  void move(double left, double right);
  [[nodiscard]] double kick_part(double rim_mm) const;
  [[nodiscard]] double bump_turn(double rim_mm) const;

  const HiddenTruth& truth_;
  RollingWheel left_, right_;
  Chance chance_;
  std::vector<Bump> bumps_;
  double rolled_mm_ = 0.0;
  Pose pose_;
};

}  // namespace runtrue
