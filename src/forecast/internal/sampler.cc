#include "forecast/internal/sampler.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <numbers>

namespace runtrue::internal {
namespace {

using Square = Eigen::Matrix<double, kConstantCount, kConstantCount, Eigen::RowMajor>;

// F with F·Fᵀ = covariance. The constants' units differ by many orders, so the eigenvectors are
// taken of the correlations.
Square factor_of(const Square& covariance) {
  const auto sd = covariance.diagonal().cwiseMax(0.0).cwiseSqrt().eval();
  Square correlation = Square::Zero();
  for (int i = 0; i < kConstantCount; ++i) {
    for (int j = 0; j < kConstantCount; ++j) {
      if (sd[i] > 0.0 && sd[j] > 0.0) {
        correlation(i, j) = (covariance(i, j) + covariance(j, i)) / (2.0 * sd[i] * sd[j]);
      }
    }
  }
  const Eigen::SelfAdjointEigenSolver<Square> solver(correlation);
  const auto roots = solver.eigenvalues().cwiseMax(0.0).cwiseSqrt().eval();
  return sd.asDiagonal() * solver.eigenvectors() * roots.asDiagonal();
}

MoveKind kind_of(const WheelCommand& command) {
  if (command.left.value == 0 && command.right.value == 0) return MoveKind::kStill;
  return command.left.value == -command.right.value ? MoveKind::kOnTheSpot : MoveKind::kRolls;
}

bool same(const WheelCommand& a, const WheelCommand& b) {
  return a.left == b.left && a.right == b.right && a.milliseconds == b.milliseconds;
}

}  // namespace

Sampler::Sampler(const Robot& robot, const DriveSettings& settings,
                 const std::vector<CompiledMove>& moves)
    : robot_(robot), settings_(settings) {
  for (const CompiledMove& move : moves) {
    const auto known = std::find_if(commands_.begin(), commands_.end(),
                                    [&](const auto& c) { return same(c, move.command); });
    moves_.push_back({kind_of(move.command), static_cast<std::size_t>(known - commands_.begin())});
    if (known == commands_.end()) commands_.push_back(move.command);
  }
  for (const Arc& arc : mean_arcs()) {
    // Up to 3/4 of half a round by the mean, so that chance seldom makes it more than half.
    const double longest_rad = 0.75 * std::numbers::pi;
    parts_.push_back(1 + static_cast<int>(std::abs(arc.turn.rad()) / longest_rad));
  }
  const Square factor = factor_of(Eigen::Map<const Square>(settings.covariance.data()));
  std::copy(factor.data(), factor.data() + factor.size(), factor_.begin());
}

ConstantVector Sampler::constants_of(const std::array<double, kConstantCount>& normals) const {
  ConstantVector constants = settings_.mean;
  for (std::size_t i = 0; i < kConstantCount; ++i) {
    for (std::size_t j = 0; j < kConstantCount; ++j) {
      constants[i] += factor_[i * kConstantCount + j] * normals[j];
    }
  }
  return constants;
}

std::vector<Arc> Sampler::mean_arcs() const {
  const Gains gains = gains_of(settings_.mean);
  std::vector<Arc> arcs;
  for (const PlannedMove& move : moves_) {
    arcs.push_back(arc_of(settings_.mean, gains, robot_, commands_[move.command], settings_.trim));
  }
  return arcs;
}

Travellers::Travellers(const Sampler& sampler, const Pose& start, const ForecastOptions& options,
                       int first)
    : sampler_(sampler), chance_(options.seed, first), base_(sampler.command_count()) {
  static_assert(kConstantCount % 2 == 0);
  std::array<Lane, kConstantCount> normals;
  for (std::size_t c = 0; c < kConstantCount; c += 2) chance_.draw(normals[c], normals[c + 1]);
  Lane x, y, turned, unused;
  chance_.draw(x, y);
  chance_.draw(turned, unused);
  for (std::size_t i = 0; i < kLanes; ++i) {
    std::array<double, kConstantCount> own{};
    for (std::size_t c = 0; c < kConstantCount; ++c) own[c] = normals[c][i];
    const ConstantVector constants = sampler.constants_of(own);
    const Gains gains = gains_of(constants);
    for (std::size_t c = 0; c < base_.size(); ++c) {
      const Arc arc =
          arc_of(constants, gains, sampler.robot(), sampler.command(c), sampler.settings().trim);
      base_[c].length[i] = arc.length.mm();
      base_[c].turn[i] = arc.turn.rad();
    }
    lanes.x0[i] = (start.x + options.start_sd * x[i]).mm();
    lanes.y0[i] = (start.y + options.start_sd * y[i]).mm();
    heading[i] = (start.heading + options.start_heading_sd * turned[i]).rad();
    lanes.cos0[i] = std::cos(heading[i]);
    lanes.sin0[i] = std::sin(heading[i]);
  }
}

void Travellers::draw_move(std::size_t m, double share) {
  const PlannedMove& move = sampler_.moves()[m];
  const LaneArcs& base = base_[move.command];
  const DriveScatter& scatter = sampler_.settings().scatter;
  if (move.kind == MoveKind::kStill) {
    lanes.length = base.length;
    lanes.turn = base.turn;
    return;
  }
  Lane far, bent;
  chance_.draw(far, bent);
  const bool rolls = move.kind == MoveKind::kRolls;
  scatter_arcs(base, far, bent, rolls ? scatter.distance_ratio : scatter.turn_ratio,
               rolls ? scatter.curvature_per_mm : 0.0, share, lanes);
}

void Travellers::step() {
  lanes.x0 = lanes.x1;
  lanes.y0 = lanes.y1;
  lanes.cos0 = lanes.cos1;
  lanes.sin0 = lanes.sin1;
  for (std::size_t i = 0; i < kLanes; ++i) heading[i] += lanes.turn[i];
}

}  // namespace runtrue::internal
