#include "forecast/internal/learned.h"

#include <Eigen/Core>
#include <cmath>
#include <functional>
#include <numbers>

namespace runtrue::internal {
namespace {

// A reading is good to so much; common practice with a tape and a protractor on the floor.
constexpr double kTape_mm = 1.5;
constexpr double kTurnRead_rad = 1.5 * std::numbers::pi / 180.0;
constexpr double kHalfLine_mm = 1000.0, kLine_mm = 2000.0;  // of a straight read at two lines
constexpr double kTimed_s = 2.0;                            // of a straight by time

using Matrix = Eigen::Matrix<double, kConstantCount, kConstantCount, Eigen::RowMajor>;
using Vector = Eigen::Matrix<double, kConstantCount, 1>;

struct Reading {
  std::function<double(const ConstantVector&)> of;
  double variance = 0.0;  // of one run
};

// Of a curvature from two readings [Arc2]: to first order k = 2(y2/x2 − y1/x1)/(x2 − x1).
double curvature_read_sd_per_mm() {
  return 2.0 * kTape_mm * std::hypot(1.0 / kLine_mm, 1.0 / kHalfLine_mm) /
         (kLine_mm - kHalfLine_mm);
}

double squares(double a, double b) { return a * a + b * b; }

Reading reading_of(const MeasurementGain& gain, const Robot& robot, const DriveSettings& settings) {
  const Trim trim = settings.trim;
  const DriveScatter& scatter = settings.scatter;
  const Level level = gain.level;
  if (gain.what == Measurement::kStraightRuns) {
    return {[&robot, level, trim](const ConstantVector& c) {
              return straight_curvature(c, robot, level, trim).per_mm();
            },
            squares(scatter.curvature_per_mm, curvature_read_sd_per_mm())};
  }
  if (gain.what == Measurement::kTimedRuns) {
    const WheelCommand command{level, level, static_cast<int>(1000.0 * kTimed_s)};
    const auto of = [&robot, command, trim](const ConstantVector& c) {
      return arc_of(c, robot, command, trim).length.mm();
    };
    return {of, squares(scatter.distance_ratio * of(settings.mean), kTape_mm)};
  }
  // Once round by the mean.
  const Motion m = motion_of(settings.mean, robot, {{-level.value}, level, 0}, trim);
  const double seconds = m.lost.s() + 2.0 * std::numbers::pi / std::abs(m.turn_rate.rad_per_s());
  const WheelCommand command{{-level.value}, level, static_cast<int>(1000.0 * seconds)};
  const auto of = [&robot, command, trim](const ConstantVector& c) {
    return arc_of(c, robot, command, trim).turn.rad();
  };
  return {of, squares(scatter.turn_ratio * of(settings.mean), kTurnRead_rad)};
}

// Central differences of a hundredth of each constant's deviation either way.
Vector slope_of(const Reading& reading, const DriveSettings& settings) {
  Vector slope = Vector::Zero();
  for (int i = 0; i < kConstantCount; ++i) {
    const auto n = static_cast<std::size_t>(i);
    const double step =
        0.01 * std::sqrt(settings.variance(static_cast<Constant>(i), static_cast<Constant>(i)));
    if (!(step > 0.0)) continue;
    ConstantVector up = settings.mean, down = settings.mean;
    up[n] += step;
    down[n] -= step;
    slope[i] = (reading.of(up) - reading.of(down)) / (2.0 * step);
  }
  return slope;
}

}  // namespace

DriveSettings learned_from(const MeasurementGain& gain, const Robot& robot,
                           const DriveSettings& settings) {
  DriveSettings learned = settings;
  if (gain.what == Measurement::kStartJig) return learned;
  const Reading reading = reading_of(gain, robot, settings);
  const Vector slope = slope_of(reading, settings);
  Eigen::Map<Matrix> covariance(learned.covariance.data());
  const Vector along = covariance * slope;
  const double doubt = slope.dot(along) + reading.variance / gain.runs;
  if (doubt > 0.0) covariance -= (along * along.transpose() / doubt).eval();
  return learned;
}

}  // namespace runtrue::internal
