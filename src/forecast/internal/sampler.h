// How one sample's robot differs from the mean: its constants, its start, and the chance in each
// move.
//
// Draws of a sample, in this order: the ten constants, x, y and heading of the start, then per move
// one for a turn on the spot, two (distance, curvature) for everything else that moves.
#pragma once

#include <array>
#include <vector>

#include "drive/robot.h"
#include "drive/settings.h"
#include "forecast/forecast.h"
#include "forecast/internal/chance.h"
#include "moves/compile.h"

namespace runtrue::internal {

enum class MoveKind { kStill, kOnTheSpot, kRolls };

struct PlannedMove {
  MoveKind kind = MoveKind::kStill;
  std::size_t command = 0;  // which of the sampler's distinct commands
};

class Sampler {
 public:
  // Covariance entries must be finite; a covariance that is not quite positive semidefinite is
  // taken as the nearest one that is (negative eigenvalues of its correlations cut off).
  Sampler(const Robot& robot, const DriveSettings& settings,
          const std::vector<CompiledMove>& moves);

  [[nodiscard]] const std::vector<PlannedMove>& moves() const { return moves_; }
  // Per move: into how many equal arcs it is cut so that each turns well under half a round.
  [[nodiscard]] const std::vector<int>& parts() const { return parts_; }
  [[nodiscard]] std::size_t command_count() const { return commands_.size(); }

  [[nodiscard]] ConstantVector draw_constants(SampleChance& chance) const;
  [[nodiscard]] Pose draw_start(const Pose& start, const ForecastOptions& options,
                                SampleChance& chance) const;
  // The arc of a command with those constants, before the chance of the single move.
  [[nodiscard]] Arc base_arc(const ConstantVector& constants, std::size_t command) const;
  // `base` with the chance of one move: distance and turn as ratios, curvature over the length.
  [[nodiscard]] Arc with_chance(const Arc& base, MoveKind kind, SampleChance& chance) const;

  [[nodiscard]] std::vector<Arc> mean_arcs() const;

 private:
  Robot robot_;
  DriveSettings settings_;
  std::vector<WheelCommand> commands_;
  std::vector<PlannedMove> moves_;
  std::vector<int> parts_;
  // Row-major; constants = mean + factor·(standard normals).
  std::array<double, kConstantCount * kConstantCount> factor_{};
};

}  // namespace runtrue::internal
