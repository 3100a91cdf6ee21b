// How the samples' robots differ from the mean: their constants, their start, and the chance in
// each move.
//
// Draws of a sample, two at a time: the ten constants, x and y of the start, its heading (and one
// that is not used), then two for every move that isn't standing still: distance (or turn, on the
// spot) and curvature.
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

  // The constants that ten standard normals stand for.
  [[nodiscard]] ConstantVector constants_of(
      const std::array<double, kConstantCount>& normals) const;

  [[nodiscard]] std::vector<Arc> mean_arcs() const;

  [[nodiscard]] const Robot& robot() const { return robot_; }
  [[nodiscard]] const DriveSettings& settings() const { return settings_; }
  [[nodiscard]] const WheelCommand& command(std::size_t index) const { return commands_[index]; }

 private:
  Robot robot_;
  DriveSettings settings_;
  std::vector<WheelCommand> commands_;
  std::vector<PlannedMove> moves_;
  std::vector<int> parts_;
  // Row-major; constants = mean + factor·(standard normals).
  std::array<double, kConstantCount * kConstantCount> factor_{};
};

// kLanes samples that follow one another, on their way through the list.
class Travellers {
 public:
  // `start` and its scatter by `options`; sample `first` and those behind it.
  Travellers(const Sampler& sampler, const Pose& start, const ForecastOptions& options, int first);

  // Draws move `m` and sets the lanes' arcs to the given share of it.
  void draw_move(std::size_t m, double share);
  // Sets the lanes' poses to those after their arcs; `advance` must have found them.
  void step();

  [[nodiscard]] Pose pose(std::size_t lane) const {
    return {Length::from_mm(lanes.x0[lane]), Length::from_mm(lanes.y0[lane]),
            Angle::from_rad(heading[lane])};
  }
  [[nodiscard]] Arc arc(std::size_t lane) const {
    return {Length::from_mm(lanes.length[lane]), Angle::from_rad(lanes.turn[lane])};
  }

  Lanes lanes;
  Lane heading{};  // of poses 0, not wrapped

 private:
  const Sampler& sampler_;
  Chance chance_;
  std::vector<LaneArcs> base_;  // by distinct command, before the chance of the single move
};

}  // namespace runtrue::internal
