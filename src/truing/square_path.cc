#include "truing/square_path.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

#include "drive/pose.h"
#include "truing/least_squares.h"

namespace runtrue {
namespace {

constexpr double kQuarter = std::numbers::pi / 2.0;

// Factors of both wheels that keep their mean.
std::pair<double, double> wheel_factors(double ratio) {
  return {2.0 / (ratio + 1.0), 2.0 / (1.0 / ratio + 1.0)};
}

struct Centre {
  double x_mm = 0.0, y_mm = 0.0;
  int count = 0;
};

// Centres of gravity, clockwise first.
Result<std::array<Centre, 2>> centres_of(const SquareSetup& setup,
                                         std::span<const SquareReturn> returns) {
  const double side = setup.side.mm(), track = setup.nominal_track.mm();
  if (!(side >= 100.0 && side <= 100000.0)) {
    return bad_input(fmt::format("the square's side is {:g} mm, expected 100 to 100000", side));
  }
  if (!(track >= 20.0 && track <= 1000.0)) {
    return bad_input(fmt::format("the track width is {:g} mm, expected 20 to 1000", track));
  }
  std::array<Centre, 2> centres;
  for (const SquareReturn& r : returns) {
    if (!(std::hypot(r.x.mm(), r.y.mm()) <= side)) {
      return bad_input(
          fmt::format("a return is off by {:g} and {:g} mm, expected at most the "
                      "square's side of {:g} mm",
                      r.x.mm(), r.y.mm(), side));
    }
    Centre& c = centres[r.way == WayRound::kClockwise ? 0 : 1];
    c.x_mm += r.x.mm();
    c.y_mm += r.y.mm();
    ++c.count;
  }
  for (const auto& [centre, word] :
       {std::pair{&centres[0], "clockwise"}, std::pair{&centres[1], "counter-clockwise"}}) {
    if (centre->count == 0) {
      return bad_input(fmt::format(
          "no {} square was driven, expected both ways round: one alone can't tell a wrong track "
          "width from unequal wheels",
          word));
    }
    centre->x_mm /= centre->count;
    centre->y_mm /= centre->count;
  }
  return centres;
}

Length worst_of(const std::array<Centre, 2>& centres) {
  return Length::from_mm(std::max(std::hypot(centres[0].x_mm, centres[0].y_mm),
                                  std::hypot(centres[1].x_mm, centres[1].y_mm)));
}

SquareAnswer answer_of(const SquareSetup& setup, double shortfall, double leg_turn) {
  SquareAnswer answer;
  answer.corner_shortfall = Angle::from_rad(shortfall);
  answer.leg_turn = Angle::from_rad(leg_turn);
  answer.track = setup.nominal_track * (kQuarter / (kQuarter - shortfall));
  if (leg_turn != 0.0) {
    const double radius = setup.side.mm() / 2.0 / std::sin(leg_turn / 2.0);
    const double half = answer.track.mm() / 2.0;
    answer.diameter_ratio = (radius + half) / (radius - half);
  }
  std::tie(answer.left_factor, answer.right_factor) = wheel_factors(answer.diameter_ratio);
  return answer;
}

}  // namespace

SquareEnd square_end(const SquareSetup& setup, WayRound way, Length track, double diameter_ratio) {
  const auto [left, right] = wheel_factors(diameter_ratio);
  const double side = setup.side.mm();
  const double sign = way == WayRound::kCounterClockwise ? 1.0 : -1.0;
  const Arc leg{setup.side, Angle::from_rad(side * (right - left) / track.mm())};
  // Each wheel is told a quarter of the nominal circle; unequal wheels also move the middle.
  const double wheel_way = kQuarter * setup.nominal_track.mm() / 2.0;
  const Arc corner{Length::from_mm(sign * wheel_way * (right - left) / 2.0),
                   Angle::from_rad(sign * wheel_way * (right + left) / track.mm())};
  Pose pose;
  for (int i = 0; i < 4; ++i) {
    pose = compose(pose, pose_after(leg));
    pose = compose(pose, pose_after(corner));
  }
  return {pose.x, pose.y, pose.heading - Angle::from_rad(sign * 4.0 * kQuarter)};
}

Result<SquareAnswer> square_by_formulas(const SquareSetup& setup,
                                        std::span<const SquareReturn> returns, SquareAxis axis) {
  RUNTRUE_TRY(const auto centres, centres_of(setup, returns));
  const auto& [cw, ccw] = centres;
  const double scale = -4.0 * setup.side.mm();
  const double by_x[2] = {(cw.x_mm + ccw.x_mm) / scale, (cw.x_mm - ccw.x_mm) / scale};
  const double by_y[2] = {(cw.y_mm - ccw.y_mm) / scale, (cw.y_mm + ccw.y_mm) / scale};
  const double weight_x = axis == SquareAxis::kX ? 1.0 : axis == SquareAxis::kY ? 0.0 : 0.5;
  SquareAnswer answer = answer_of(setup, weight_x * by_x[0] + (1.0 - weight_x) * by_y[0],
                                  weight_x * by_x[1] + (1.0 - weight_x) * by_y[1]);
  answer.worst_offset = worst_of(centres);
  return answer;
}

Result<SquareFit> fit_square(const SquareSetup& setup, std::span<const SquareReturn> returns) {
  RUNTRUE_TRY(const SquareAnswer start, square_by_formulas(setup, returns, SquareAxis::kMean));
  const int count = static_cast<int>(returns.size());
  // Parameters: ln of track over nominal, ln of the wheel ratio. All returns weigh alike.
  const auto ends = [&](const Eigen::VectorXd& p, Eigen::VectorXd& r) {
    for (int i = 0; i < count; ++i) {
      const SquareReturn& seen = returns[static_cast<std::size_t>(i)];
      const SquareEnd end =
          square_end(setup, seen.way, setup.nominal_track * std::exp(p[0]), std::exp(p[1]));
      r[2 * i] = end.x.mm() - seen.x.mm();
      r[2 * i + 1] = end.y.mm() - seen.y.mm();
    }
  };
  const ResidualFunction residuals = [&](const Eigen::VectorXd& p, Eigen::VectorXd& r,
                                         Eigen::MatrixXd* j) {
    ends(p, r);
    if (j == nullptr) return true;
    constexpr double kStep = 1e-6;  // central: error ~ 1e-12 of the side
    Eigen::VectorXd up(2 * count), down(2 * count);
    for (int i = 0; i < 2; ++i) {
      Eigen::VectorXd q = p;
      q[i] = p[i] + kStep;
      ends(q, up);
      q[i] = p[i] - kStep;
      ends(q, down);
      j->col(i) = (up - down) / (2.0 * kStep);
    }
    return true;
  };
  const Eigen::Vector2d from(std::log(start.track / setup.nominal_track),
                             std::log(start.diameter_ratio));
  const LeastSquaresSummary summary =
      least_squares(residuals, 2 * count, from, {.smallest_step = 1e-12});
  if (summary.stop == StopReason::kCannotEvaluate || summary.rank < 2) {
    return bad_input(
        "the squares' returns fit no robot, expected errors of a few percent of the "
        "side; were x forward and y left?");
  }
  SquareFit fit;
  const Length track = setup.nominal_track * std::exp(summary.parameters[0]);
  const double ratio = std::exp(summary.parameters[1]);
  const auto [left, right] = wheel_factors(ratio);
  fit.answer = {Angle::from_rad(kQuarter * (1.0 - setup.nominal_track / track)),
                Angle::from_rad((right - left) * (setup.side / track)),
                track,
                ratio,
                left,
                right,
                start.worst_offset};
  const int spare = 2 * count - 2;
  if (count > 2) {
    const double variance = summary.sum_of_squares / spare;
    fit.scatter = Length::from_mm(std::sqrt(variance));
    fit.track_sd = track * std::sqrt(variance * summary.covariance(0, 0));
    fit.diameter_ratio_sd = ratio * std::sqrt(variance * summary.covariance(1, 1));
  }
  return fit;
}

}  // namespace runtrue
