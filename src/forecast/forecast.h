// Where a compiled move list takes this robot on this table, how sure that is, and where it first
// goes wrong.
//
// Sampled: constants are drawn once per sample from the settings' mean and covariance, chance per
// move from the scatter, the start from its own spread; every path is exact arcs. Sample i depends
// on (seed, i) only, so any number of threads gives the same bits. A robot falls where a wheel or
// castor contact crosses an edge without a wall; it bumps where its outline meets an obstacle or a
// wall, whichever comes first; then that sample's path ends. A sample that is set down off the
// table or into an obstacle goes wrong in the first move. Method and limits: docs/forecast.md.
// Memory: about 100 bytes for each sample that goes wrong and 4 KB a move and thread.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "drive/robot.h"
#include "drive/settings.h"
#include "forecast/table.h"
#include "moves/compile.h"
#include "units/result.h"

namespace runtrue {

struct ForecastOptions {
  int samples = 10000;  // 1..10,000,000
  std::uint64_t seed = 1;
  int threads = 1;                       // 1..64; never changes the answer
  int kept_paths = 60;                   // sample paths kept for drawing, 0..1000
  Length start_sd = Length::from_mm(3);  // of x and of y each
  Angle start_heading_sd = Angle::from_deg(1.5);
};

// A probability with its exact 95 % binomial interval [Clopper-Pearson]; low is 0 at no event and
// high is never 0.
struct Probability {
  double mean = 0.0;
  double low = 0.0;
  double high = 1.0;
};

enum class Mishap { kNone, kFalls, kBumps };

struct RiskyMove {
  int index = 0;  // into the compiled list, from 0
  Mishap mishap = Mishap::kNone;
  double probability = 0.0;  // that it goes wrong in this move
  Point where;               // median place of it
};

struct MoveOutlook {
  Pose nominal_end;  // after this move, by the mean constants and no chance
  // Part of all samples that first go wrong in this move, and how; they add up to fall and bump.
  double fall_probability = 0.0;
  double bump_probability = 0.0;
  // 5 % quantile of the least distance of a contact to the edge, walled or not, during this move,
  // of the samples that got that far; 0 for one that falls in it, and where none got that far. Good
  // to 0.2 mm at 1 mm and 2 mm at 100 mm (as the root of it); over 10 m it says 10 m.
  Length clearance;
};

// How well a closed list closes: a list whose moves, if made as asked, end where they began to
// within 1 % of their way. All ends as if nothing stopped them; distances from the start mark, so
// how the robot is set down counts too.
struct ClosingError {
  Length median, within_95;  // distance from the start; 95 % of the ends lie within the second
  Angle nominal_heading;     // off the heading asked for, by the mean constants, + to the left
};

struct Forecast {
  Probability fall, bump;
  Pose nominal_end;
  std::array<double, 9> end_covariance{};  // row-major x_mm, y_mm, heading_rad of the samples' ends
                                           // as if nothing stopped them
  std::optional<RiskyMove>
      first_risky_move;  // the first with at least 1 % (or the riskiest, if any sample went wrong)
  std::vector<MoveOutlook> moves;
  std::optional<ClosingError> closing;  // of a closed list
  std::vector<Pose> nominal_path;       // fine enough to draw
  std::vector<std::vector<Pose>>
      sample_paths;              // kept_paths of them, the same fineness, cut where it went wrong
  std::vector<Point> region_95;  // outline around 95 % of the ends as if nothing stopped them (of
                                 // the first 20,000), its first corner not repeated
  std::uint64_t seed = 0;
  int samples = 0;
};

// Errors (bad input): options outside their ranges; a start from which a contact stands off the
// table or the outline touches an obstacle; an empty list is no error.
[[nodiscard]] Result<Forecast> forecast_moves(const Robot& robot, const DriveSettings& settings,
                                              const std::vector<CompiledMove>& moves,
                                              const Table& table, const Pose& start,
                                              const ForecastOptions& options = {});

// A start (from a grid of places and headings over the table, then refined) with the least fall
// plus bump probability the search finds, and that probability at `options`; of equals the one with
// most room. Whole centimetres, multiples of 5 degrees. Same errors as above but for the start, and
// one where the robot can stand nowhere.
struct SafeStart {
  Pose start;
  Probability mishap;
};
[[nodiscard]] Result<SafeStart> safest_start(const Robot& robot, const DriveSettings& settings,
                                             const std::vector<CompiledMove>& moves,
                                             const Table& table,
                                             const ForecastOptions& options = {});

}  // namespace runtrue
