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

ConstantVector Sampler::draw_constants(SampleChance& chance) const {
  std::array<double, kConstantCount> drawn{};
  for (double& z : drawn) z = chance.normal();
  ConstantVector constants = settings_.mean;
  for (std::size_t i = 0; i < kConstantCount; ++i) {
    for (std::size_t j = 0; j < kConstantCount; ++j) {
      constants[i] += factor_[i * kConstantCount + j] * drawn[j];
    }
  }
  return constants;
}

Pose Sampler::draw_start(const Pose& start, const ForecastOptions& options,
                         SampleChance& chance) const {
  Pose drawn = start;
  drawn.x += options.start_sd * chance.normal();
  drawn.y += options.start_sd * chance.normal();
  drawn.heading += options.start_heading_sd * chance.normal();
  return drawn;
}

Arc Sampler::base_arc(const ConstantVector& constants, std::size_t command) const {
  return arc_of(constants, robot_, commands_[command], settings_.trim);
}

Arc Sampler::with_chance(const Arc& base, MoveKind kind, SampleChance& chance) const {
  const DriveScatter& scatter = settings_.scatter;
  if (kind == MoveKind::kStill) return base;
  if (kind == MoveKind::kOnTheSpot) {
    return {base.length, base.turn * (1.0 + scatter.turn_ratio * chance.normal())};
  }
  const double ratio = 1.0 + scatter.distance_ratio * chance.normal();
  const Arc scaled{base.length * ratio, base.turn * ratio};
  const Curvature bend = Curvature::from_per_mm(scatter.curvature_per_mm * chance.normal());
  return {scaled.length, scaled.turn + bend * scaled.length};
}

std::vector<Arc> Sampler::mean_arcs() const {
  std::vector<Arc> arcs;
  for (const PlannedMove& move : moves_) arcs.push_back(base_arc(settings_.mean, move.command));
  return arcs;
}

}  // namespace runtrue::internal
