// From straight runs to what is known of the mismatch between the wheels.
//
// Each run with a line becomes one observation of the mismatch m (= curvature times track width),
// with the exact circle through its marks [Arc2] and the aim error of that run taken out as far as
// its marks tell. The mismatch is linear in four constants and the offset of another floor, so for
// a given scatter, a given kind of trim (which way it works, usual or coarse) and a given reading
// of every run the posterior is normal in closed form. None of these is given, so the answer is a
// weighted sum over a grid of scatters, the kinds of trim and the likely readings: "as noted", "one
// or both marks to the other side", "bumped". A run with two lines tells by its aim error alone
// whether it can be as noted: nobody sets a robot down ten degrees off.
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

// The four constants of drive/settings.h in this order: m0 forward, m0 reverse, m1, k. One more
// unknown follows: how much further left the floor bends a robot on which it was not run last.
inline constexpr int kStraightConstants = 4;
inline constexpr int kStraightUnknowns = 5;
using StraightVector = Eigen::Matrix<double, kStraightUnknowns, 1>;
using StraightMatrix = Eigen::Matrix<double, kStraightUnknowns, kStraightUnknowns>;

// What is assumed before any run, and of reading a tape. Arbitrary where no source is named; wide
// on purpose.
struct StraightPrior {
  double mismatch_mean = 0.0;           // other than 0 only by what the set's other robots tell
  double mismatch_sd = 0.08;            // measured pairs differ by 4-10 % at high level [Mot6]
  double reverse_difference_sd = 0.04;  // another one in reverse [Mot6]
  double by_level_sd = 0.05;            // grows to 58 % near the dead band [Mot6]
  double by_floor_sd = 0.015;           // another floor: 50 mm/m at 140 mm track width
  // What half the trim range does, to either side: a trim is made to even out most pairs of motors
  // and no more.
  double trim_reach_mean = 0.11, trim_reach_sd = 0.05;
  double coarse_probability = 0.1;  // of a trim far coarser than its range asks for
  double coarse_reach_mean = 0.35, coarse_reach_sd = 0.25;
  std::optional<double> trim_effect_mean, trim_effect_sd;  // instead, by the set's other robots
  double scatter_drift_mm_per_m = 2.7;  // median of a run's own bend; up to 6 measured [Sous22]
  double scatter_log_sd = 0.55;
  double tape_sd_mm = 1.7;             // reading a mark on a tape, to a whole millimetre
  double placing_sd_mm = 1.5;          // setting the robot down sideways
  double aim_sd_rad = 0.026;           // 1.5 degrees
  double hard_bend_ratio = 0.02;       // the model's own error, as a part of the bend it describes
  double flipped_probability = 0.007;  // one or both marks noted to the wrong side
  double bumped_probability = 0.013;   // bumped, slipped, misread
  double bumped_sd = 0.05;      // mismatch sd of a bumped run: 180 mm/m at 140 mm track width
  double bumped_aim_rad = 0.1;  // what a bump makes of the aim that two marks give
};

// How a run's marks are to be read.
enum class Reading : unsigned char { kAsNoted, kFlipped, kHalfFlipped, kEndFlipped, kBumped };
inline constexpr std::size_t kReadings = 5;

// What a run tells of the mismatch when it is read in one way.
struct ReadAs {
  bool possible = false;
  double mismatch = 0.0;
  double variance = 0.0;    // of tape, placing, aim and hard bend; the run's own scatter on top
  double log_weight = 0.0;  // how likely such a slip is, and such an aim error
};

struct StraightObservation {
  int row = 0;
  Level level;
  Trim trim;
  StraightVector design = StraightVector::Zero();  // m = design · unknowns
  std::array<ReadAs, kReadings> as{};
  std::optional<double> battery_v;
  double scatter_factor = 1.0;  // of the curvature scatter (1/mm) in m: the track width, mm
  double aim_rad = 0.0;         // as noted; 0 where one line alone can't tell
  bool two_lines = false;

  [[nodiscard]] const ReadAs& read(Reading reading) const {
    return as[static_cast<std::size_t>(reading)];
  }
  [[nodiscard]] const ReadAs& noted() const { return read(Reading::kAsNoted); }
};

// Observations of all straights that have a line and are not left out.
[[nodiscard]] std::vector<StraightObservation> observe(const Robot& robot,
                                                       std::span<const Run> runs,
                                                       const StraightPrior& prior);

// Of a straight on the floor it was run on last.
[[nodiscard]] StraightVector design_of(const Robot& robot, Level level, Trim trim);

class StraightPosterior {
 public:
  struct Part {
    double weight = 0.0;
    StraightVector mean;
    StraightMatrix covariance;
    double scatter_per_mm = 0.0;    // sd of a run's curvature
    std::vector<Reading> readings;  // one an observation
    std::size_t effect = 0;         // which prior of the trim's effect it comes from
  };

  StraightPosterior(const Robot& robot, std::span<const StraightObservation> observations,
                    const StraightPrior& prior);

  // Curvature (1/mm) of a straight at that level and trim.
  [[nodiscard]] NormalMixture curvature(Level level, Trim trim) const;
  // One of the unknowns.
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
