// Strong types for the physical quantities of the job: lengths, angles, times, speeds, curvatures.
//
// A raw number enters or leaves a quantity only where its unit is spelled: `Length::from_mm(3)`,
// `gap.mm()`. Quantities of one kind add, subtract, compare and scale by plain numbers; different
// kinds do not mix, except for the few products that mean something here (see the end of the file).
// A level and a trim are integers of their own kind.
//
// Not a general units library: only what a two-wheeled robot and a tape need.
#pragma once

#include <cmath>
#include <compare>
#include <numbers>

namespace runtrue {

// What every quantity can do; `Self` is the quantity itself.
template <class Self>
class Quantity {
 public:
  constexpr Quantity() = default;

  constexpr auto operator<=>(const Quantity&) const = default;

  constexpr Self operator-() const { return make(-base_); }
  friend constexpr Self operator+(Self a, Self b) { return make(a.base_ + b.base_); }
  friend constexpr Self operator-(Self a, Self b) { return make(a.base_ - b.base_); }
  friend constexpr Self operator*(Self a, double s) { return make(a.base_ * s); }
  friend constexpr Self operator*(double s, Self a) { return make(a.base_ * s); }
  friend constexpr Self operator/(Self a, double s) { return make(a.base_ / s); }
  friend constexpr double operator/(Self a, Self b) { return a.base_ / b.base_; }
  constexpr Self& operator+=(Self other) {
    return static_cast<Self&>(*this) = Self(make(base_ + other.base_));
  }
  constexpr Self& operator-=(Self other) {
    return static_cast<Self&>(*this) = Self(make(base_ - other.base_));
  }

 protected:
  explicit constexpr Quantity(double base) : base_(base) {}
  static constexpr Self make(double base) {
    Self self;
    self.base_ = base;
    return self;
  }
  double base_ = 0.0;
};

class Speed : public Quantity<Speed> {
 public:
  static constexpr Speed from_mm_per_s(double mm_per_s) { return make(mm_per_s); }
  [[nodiscard]] constexpr double mm_per_s() const { return base_; }
};

// Left turns are positive.
class TurnRate : public Quantity<TurnRate> {
 public:
  static constexpr TurnRate from_rad_per_s(double rad_per_s) { return make(rad_per_s); }
  [[nodiscard]] constexpr double rad_per_s() const { return base_; }
};

// Left bends are positive.
class Curvature : public Quantity<Curvature> {
 public:
  static constexpr Curvature from_per_mm(double per_mm) { return make(per_mm); }
  [[nodiscard]] constexpr double per_mm() const { return base_; }
};

// A length, inside in millimetres.
class Length : public Quantity<Length> {
 public:
  static constexpr Length from_mm(double mm) { return make(mm); }
  static constexpr Length from_cm(double cm) { return make(cm * 10.0); }
  static constexpr Length from_m(double m) { return make(m * 1000.0); }
  static constexpr Length from_in(double in) { return make(in * 25.4); }  // exact by definition
  [[nodiscard]] constexpr double mm() const { return base_; }
  [[nodiscard]] constexpr double m() const { return base_ / 1000.0; }
};

// An angle or a turn, inside in radians; counter-clockwise (left) positive; not wrapped, since a
// turn may be several full rounds. Wrap a heading for show with `wrapped()`.
class Angle : public Quantity<Angle> {
 public:
  static constexpr Angle from_rad(double rad) { return make(rad); }
  static constexpr Angle from_deg(double deg) { return make(deg * std::numbers::pi / 180.0); }
  [[nodiscard]] constexpr double rad() const { return base_; }
  [[nodiscard]] constexpr double deg() const { return base_ * 180.0 / std::numbers::pi; }
  // The same direction within [-pi, pi).
  [[nodiscard]] Angle wrapped() const {
    const double turn = 2.0 * std::numbers::pi;
    return make(base_ - turn * std::floor(base_ / turn + 0.5));
  }
};

// A span of time, inside in seconds.
class Duration : public Quantity<Duration> {
 public:
  static constexpr Duration from_s(double s) { return make(s); }
  static constexpr Duration from_ms(double ms) { return make(ms / 1000.0); }
  static constexpr Duration from_us(double us) { return make(us / 1e6); }
  [[nodiscard]] constexpr double s() const { return base_; }
  [[nodiscard]] constexpr double ms() const { return base_ * 1000.0; }
  [[nodiscard]] constexpr double us() const { return base_ * 1e6; }
};

// A motor command as the robot takes it: an integer up to the robot's full level, its sign the
// direction.
struct Level {
  int value = 0;
  constexpr auto operator<=>(const Level&) const = default;
};

// The integer that shifts the balance between the two wheels; its sign and size act differently
// from robot to robot.
struct Trim {
  int value = 0;
  constexpr auto operator<=>(const Trim&) const = default;
};

constexpr Length operator*(Speed v, Duration t) { return Length::from_mm(v.mm_per_s() * t.s()); }
constexpr Angle operator*(TurnRate w, Duration t) { return Angle::from_rad(w.rad_per_s() * t.s()); }
constexpr Angle operator*(Curvature k, Length s) { return Angle::from_rad(k.per_mm() * s.mm()); }

}  // namespace runtrue
