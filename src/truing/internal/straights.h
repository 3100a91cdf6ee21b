// From straight runs to what is known of the mismatch between the wheels.
//
// Each run with a line becomes one observation of the mismatch m (= curvature times track width),
// with the exact circle through its marks [Arc2] and the aim error of that run taken out as far as
// its marks tell. The mismatch is linear in four constants, so for a given scatter and a given
// reading of every run the posterior is normal in closed form. The scatter is not given and a run
// may be misread, so the answer is a weighted sum over a grid of scatters and over the likely
// readings: "as noted", "to the other side", "bumped".
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <span>
#include <vector>

#include "drive/robot.h"
#include "truing/internal/mixture.h"
#include "truing/run.h"

namespace runtrue::internal {

// The four constants in this order: m0 forward, m0 reverse, m1, k (see drive/settings.h).
inline constexpr int kStraightConstants = 4;
using StraightVector = Eigen::Matrix<double, kStraightConstants, 1>;
using StraightMatrix = Eigen::Matrix<double, kStraightConstants, kStraightConstants>;

// What is assumed before any run, and of reading a tape. Arbitrary where no source is named; wide
// on purpose.
struct StraightPrior {
  double mismatch_mean = 0.0;           // other than 0 only by what the set's other robots tell
  double mismatch_sd = 0.08;            // measured pairs differ by 4-10 % at high level [Mot6]
  double reverse_difference_sd = 0.04;  // another one in reverse [Mot6]
  double by_level_sd = 0.05;            // grows to 58 % near the dead band [Mot6]
  double trim_reach_sd = 0.15;  // what half the trim range does: k's sd is this over half the range
  std::optional<double> trim_effect_mean, trim_effect_sd;  // instead, by the set's other robots
  double scatter_drift_mm_per_m = 3.0;                     // median of a run's own bend, drift sd
  double scatter_log_sd = 0.6;
  double tape_sd_mm = 1.5;            // reading a mark on a tape
  double placing_sd_mm = 1.5;         // setting the robot down sideways
  double aim_sd_rad = 0.026;          // 1.5 degrees
  double hard_bend_ratio = 0.02;      // the model's own error, as a part of the bend it describes
  double flipped_probability = 0.01;  // noted to the wrong side
  double bumped_probability = 0.02;   // bumped, slipped, misread
  double bumped_sd = 0.05;            // mismatch sd of a bumped run: 180 mm/m at 140 mm track width
};

struct StraightObservation {
  int row = 0;
  Level level;
  Trim trim;
  StraightVector design;  // m = design · constants
  double mismatch = 0.0;  // as noted; a run to the other side reads −mismatch
  double variance = 0.0;  // of tape, placing, aim and hard bend; the run's own scatter comes on top
  double scatter_factor =
      1.0;               // how much of the curvature scatter (1/mm) shows in m: the track width, mm
  double aim_rad = 0.0;  // 0 where one line alone can't tell
  bool two_lines = false;
};

// Observations of all straights that have a line and are not left out.
[[nodiscard]] std::vector<StraightObservation> observe(const Robot& robot,
                                                       std::span<const Run> runs,
                                                       const StraightPrior& prior);

[[nodiscard]] StraightVector design_of(const Robot& robot, Level level, Trim trim);

enum class Reading : unsigned char { kAsNoted, kFlipped, kBumped };

class StraightPosterior {
 public:
  struct Part {
    double weight = 0.0;
    StraightVector mean;
    StraightMatrix covariance;
    double scatter_per_mm = 0.0;    // sd of a run's curvature
    std::vector<Reading> readings;  // one an observation
  };

  StraightPosterior(const Robot& robot, std::span<const StraightObservation> observations,
                    const StraightPrior& prior);

  // Curvature (1/mm) of a straight at that level and trim.
  [[nodiscard]] NormalMixture curvature(Level level, Trim trim) const;
  // One of the four constants.
  [[nodiscard]] NormalMixture constant(int index) const;
  // The whole, matched in mean and covariance.
  [[nodiscard]] StraightVector mean() const;
  [[nodiscard]] StraightMatrix covariance() const;
  [[nodiscard]] double scatter_per_mm() const;  // root of the mean square
  // Probability that an observation is to be read so.
  [[nodiscard]] double probability(std::size_t observation, Reading reading) const;
  [[nodiscard]] const std::vector<Part>& parts() const { return parts_; }

 private:
  double track_mm_;
  Robot robot_;
  std::vector<Part> parts_;
};

}  // namespace runtrue::internal
