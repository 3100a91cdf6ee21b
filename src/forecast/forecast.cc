#include "forecast/forecast.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "forecast/internal/checks.h"
#include "forecast/internal/interval.h"
#include "forecast/internal/region.h"
#include "forecast/internal/run_walk.h"

namespace runtrue {
namespace {

using internal::MishapAt;
using internal::Vec;

constexpr double kWorthNaming = 0.01;  // probability from which a move is called risky

// Adds the poses along `arc`, up to `until` of it, so close that a drawn line looks like the arc.
void draw_along(std::vector<Pose>& path, const Arc& arc, double until) {
  constexpr double kStep_mm = 20.0;
  const double step_rad = Angle::from_deg(6).rad();
  const Pose from = path.back();
  const double steps = std::ceil(
      std::max(std::abs(arc.length.mm()) / kStep_mm, std::abs(arc.turn.rad()) / step_rad) * until);
  for (int i = 1; i <= static_cast<int>(steps); ++i) {
    path.push_back(compose(from, pose_after(part_of(arc, until * i / steps))));
  }
}

std::vector<Pose> path_of(const Pose& start, const std::vector<Arc>& arcs, const MishapAt* mishap) {
  std::vector<Pose> path{start};
  for (std::size_t m = 0; m < arcs.size(); ++m) {
    const bool here = mishap != nullptr && static_cast<std::size_t>(mishap->move) == m;
    draw_along(path, arcs[m], here ? mishap->fraction : 1.0);
    if (here) break;
  }
  return path;
}

double quantile(std::vector<double>& values, double part) {
  const auto place = values.begin() + std::lround(part * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), place, values.end());
  return *place;
}
double median(std::vector<double>& values) { return quantile(values, 0.5); }

// Of a list that closes, if made as asked.
std::optional<ClosingError> closing_error(const std::vector<CompiledMove>& moves, const Pose& start,
                                          const Pose& nominal_end, const std::vector<Vec>& ends) {
  constexpr double kClosed = 0.01;  // of the way: angles are typed to a degree or a tenth of one
  Pose asked = start;
  double way_mm = 0.0;
  for (const CompiledMove& move : moves) {
    asked = compose(asked, pose_after(move.asked));
    way_mm += std::abs(move.asked.length.mm());
  }
  const Vec from{start.x.mm(), start.y.mm()};
  const double open_mm = internal::length(Vec{asked.x.mm(), asked.y.mm()} - from);
  if (way_mm == 0.0 || open_mm > kClosed * way_mm || ends.empty()) return std::nullopt;
  std::vector<double> off;
  for (const Vec end : ends) off.push_back(internal::length(end - from));
  ClosingError closing;
  closing.median = Length::from_mm(median(off));
  closing.within_95 = Length::from_mm(quantile(off, 0.95));
  closing.nominal_heading = (nominal_end.heading - asked.heading).wrapped();
  return closing;
}

// The first move with a probability worth naming, or the riskiest, as what happens there most.
std::optional<RiskyMove> risky_move(const std::vector<MoveOutlook>& moves,
                                    const std::vector<MishapAt>& mishaps) {
  if (mishaps.empty()) return std::nullopt;
  const auto risk = [](const MoveOutlook& m) { return m.fall_probability + m.bump_probability; };
  auto found = std::find_if(moves.begin(), moves.end(),
                            [&](const MoveOutlook& m) { return risk(m) >= kWorthNaming; });
  if (found == moves.end()) {
    found = std::max_element(moves.begin(), moves.end(),
                             [&](const auto& a, const auto& b) { return risk(a) < risk(b); });
  }
  RiskyMove move;
  move.index = static_cast<int>(found - moves.begin());
  move.mishap =
      found->fall_probability >= found->bump_probability ? Mishap::kFalls : Mishap::kBumps;
  move.probability = risk(*found);
  std::vector<double> x, y;
  for (const MishapAt& m : mishaps) {
    if (m.move != move.index || m.kind != move.mishap) continue;
    x.push_back(m.place.x);
    y.push_back(m.place.y);
  }
  move.where = internal::point_of({median(x), median(y)});
  return move;
}

std::vector<MoveOutlook> outlooks(const Pose& start, const std::vector<Arc>& arcs,
                                  const internal::WalkResult& walked, int samples) {
  std::vector<MoveOutlook> moves(arcs.size());
  Pose pose = start;
  for (std::size_t m = 0; m < arcs.size(); ++m) {
    pose = compose(pose, pose_after(arcs[m]));
    moves[m].nominal_end = pose;
    moves[m].clearance = walked.clearance.quantile(m, internal::kClearancePart);
  }
  for (const MishapAt& m : walked.mishaps) {
    MoveOutlook& move = moves[static_cast<std::size_t>(m.move)];
    (m.kind == Mishap::kFalls ? move.fall_probability : move.bump_probability) += 1.0;
  }
  for (MoveOutlook& move : moves) {
    move.fall_probability /= samples;
    move.bump_probability /= samples;
  }
  return moves;
}

std::array<double, 9> covariance_of(const internal::EndSums& sums, int samples) {
  std::array<double, 9> covariance{};
  if (samples < 2) return covariance;
  const double n = samples;
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      covariance[3 * i + j] =
          (sums.second[3 * i + j] - sums.first[i] * sums.first[j] / n) / (n - 1.0);
    }
  }
  return covariance;
}

}  // namespace

Result<Forecast> forecast_moves(const Robot& robot, const DriveSettings& settings,
                                const std::vector<CompiledMove>& moves, const Table& table,
                                const Pose& start, const ForecastOptions& options) {
  if (auto r = internal::check_inputs(robot, settings, table, options); !r) {
    return tl::unexpected(r.error());
  }
  const internal::Scene scene = internal::scene_of(robot, table);
  if (auto r = internal::check_start(scene, start); !r) return tl::unexpected(r.error());

  const internal::Sampler sampler(robot, settings, moves);
  const std::vector<Arc> arcs = sampler.mean_arcs();
  Forecast forecast;
  forecast.seed = options.seed;
  forecast.samples = options.samples;
  forecast.nominal_path = path_of(start, arcs, nullptr);
  forecast.nominal_end = start;
  for (const Arc& arc : arcs) {
    forecast.nominal_end = compose(forecast.nominal_end, pose_after(arc));
  }

  const internal::WalkResult walked =
      internal::run_walk({sampler, scene, start, forecast.nominal_end, options});
  const auto count = [&](Mishap kind) {
    return static_cast<int>(std::count_if(walked.mishaps.begin(), walked.mishaps.end(),
                                          [&](const MishapAt& m) { return m.kind == kind; }));
  };
  forecast.fall = internal::probability_of(count(Mishap::kFalls), options.samples);
  forecast.bump = internal::probability_of(count(Mishap::kBumps), options.samples);
  forecast.end_covariance = covariance_of(walked.sums, options.samples);
  forecast.moves = outlooks(start, arcs, walked, options.samples);
  forecast.closing = closing_error(moves, start, forecast.nominal_end, walked.ends);
  forecast.first_risky_move = risky_move(forecast.moves, walked.mishaps);
  auto mishap = walked.mishaps.begin();
  for (std::size_t i = 0; i < walked.kept.size(); ++i) {
    const bool goes_wrong = mishap != walked.mishaps.end() && mishap->sample == static_cast<int>(i);
    forecast.sample_paths.push_back(
        path_of(walked.kept[i].start, walked.kept[i].arcs, goes_wrong ? &*mishap : nullptr));
    if (goes_wrong) ++mishap;
  }
  for (const Vec corner : internal::region_around(walked.ends, 0.95)) {
    forecast.region_95.push_back(internal::point_of(corner));
  }
  return forecast;
}

}  // namespace runtrue
