#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "forecast/forecast.h"
#include "forecast/internal/checks.h"
#include "forecast/internal/interval.h"
#include "forecast/internal/run_walk.h"

namespace runtrue {
namespace {

using internal::Scene;
using internal::Vec;

constexpr int kPlacesEachWay = 24;
constexpr double kHeadingStep_deg = 15.0;
constexpr double kPlaceRounding_mm = 10.0;  // a start is set out with a ruler
constexpr int kSearchSamples = 256;
constexpr std::size_t kTried = 16;    // of the grid's best, tried with samples
constexpr std::size_t kRefined = 3;   // of those, moved about
constexpr double kSpreadShare = 1.5;  // root-mean-square offsets kept free around the nominal path
constexpr double kWorthKeeping_mm = 100.0;  // less room than the best so far: given up on the way

// A place the robot's origin passes, seen from the start, and how far samples lie off it there.
struct WayPoint {
  Vec place;
  double spread_mm = 0.0;
};

struct Candidate {
  Pose start;
  double room_mm = -std::numeric_limits<double>::infinity();
  int mishaps = 0;
};

bool better(const Candidate& a, const Candidate& b) {
  return a.mishaps != b.mishaps ? a.mishaps < b.mishaps : a.room_mm > b.room_mm;
}

// How far the samples' move ends lie off the nominal ones, root mean square, seen from the start.
std::vector<double> spread_after_moves(const internal::Sampler& sampler,
                                       const ForecastOptions& options) {
  const std::vector<Arc> mean = sampler.mean_arcs();
  std::vector<double> squares(mean.size() + 1);
  internal::Travellers pilots(sampler, {}, options, 0);
  Pose nominal;
  for (std::size_t m = 0; m <= mean.size(); ++m) {
    for (std::size_t i = 0; i < internal::kLanes; ++i) {
      const double dx = pilots.lanes.x0[i] - nominal.x.mm(),
                   dy = pilots.lanes.y0[i] - nominal.y.mm();
      squares[m] += (dx * dx + dy * dy) / internal::kLanes;
    }
    if (m == mean.size()) break;
    pilots.draw_move(m, 1.0);
    internal::advance(pilots.lanes);
    pilots.step();
    nominal = compose(nominal, pose_after(mean[m]));
  }
  for (double& s : squares) s = std::sqrt(s);
  return squares;
}

std::vector<WayPoint> way_of(const internal::Sampler& sampler, const ForecastOptions& options) {
  constexpr double kStep_mm = 50.0;
  const std::vector<double> spread = spread_after_moves(sampler, options);
  std::vector<WayPoint> way{{{}, spread[0]}};
  Pose pose;
  std::size_t done = 0;
  for (const Arc& arc : sampler.mean_arcs()) {
    ++done;
    const int steps = static_cast<int>(std::ceil(std::abs(arc.length.mm()) / kStep_mm));
    for (int i = 1; i <= steps; ++i) {
      const double part = static_cast<double>(i) / steps;
      const Pose there = compose(pose, pose_after(part_of(arc, part)));
      way.push_back(
          {{there.x.mm(), there.y.mm()}, (1.0 - part) * spread[done - 1] + part * spread[done]});
    }
    pose = compose(pose, pose_after(arc));
  }
  return way;
}

// Room around the robot standing with its origin there: to the edge from its farthest contact, to
// the wall and to obstacles from its outline's farthest point; negative beyond.
double room_at(const Scene& scene, Vec place, double not_below_mm) {
  double room = std::min(
      internal::distance_to_edge(scene, place, internal::Which::kOpen) - scene.contact_reach_mm,
      internal::distance_to_edge(scene, place, internal::Which::kWalled) - scene.outline_reach_mm);
  if (!internal::on_table(scene, place)) {
    room =
        -internal::distance_to_edge(scene, place, internal::Which::kAll) - scene.contact_reach_mm;
  }
  for (const internal::Thing& thing : scene.things) {
    if (room < not_below_mm) return room;
    double gap = internal::length(place - thing.centre) - thing.radius_mm;
    if (!thing.corners.empty() && gap < scene.outline_reach_mm + std::abs(room)) {
      gap = internal::distance_to_sides(place, thing.corners);
      if (internal::contains(thing.corners, place)) gap = -gap;
    }
    room = std::min(room, gap - scene.outline_reach_mm);
  }
  return room;
}

double room_along(const Scene& scene, const std::vector<WayPoint>& way, const Pose& start,
                  double not_below_mm) {
  double least = std::numeric_limits<double>::infinity();
  for (const WayPoint& point : way) {
    const Vec place = internal::vec_of(point_in(start, internal::point_of(point.place)));
    const double share = kSpreadShare * point.spread_mm;
    least = std::min(least, room_at(scene, place, not_below_mm + share) - share);
    if (least < not_below_mm) break;
  }
  return least;
}

bool can_stand(const Scene& scene, const Pose& start) {
  return !internal::stands_off(scene, start) && !internal::overlaps(scene, start);
}

// Every start of a grid over the table from which the robot can stand, with the most room first.
std::vector<Candidate> grid_of(const Scene& scene, const std::vector<WayPoint>& way) {
  Vec low = scene.sides[0].from, high = low;
  for (const internal::EdgeSide& side : scene.sides) {
    low = {std::min(low.x, side.from.x), std::min(low.y, side.from.y)};
    high = {std::max(high.x, side.from.x), std::max(high.y, side.from.y)};
  }
  const auto rounded = [](double from, double to, int i) {
    const double place = from + (to - from) * (i + 0.5) / kPlacesEachWay;
    return Length::from_mm(std::round(place / kPlaceRounding_mm) * kPlaceRounding_mm);
  };
  std::vector<Candidate> candidates;
  double best_mm = -std::numeric_limits<double>::infinity();
  for (int i = 0; i < kPlacesEachWay * kPlacesEachWay; ++i) {
    Candidate candidate;
    candidate.start.x = rounded(low.x, high.x, i % kPlacesEachWay);
    candidate.start.y = rounded(low.y, high.y, i / kPlacesEachWay);
    for (int turn = 0; turn * kHeadingStep_deg < 360.0; ++turn) {
      candidate.start.heading = Angle::from_deg(turn * kHeadingStep_deg - 180.0);
      if (!can_stand(scene, candidate.start)) continue;
      candidate.room_mm = room_along(scene, way, candidate.start, best_mm - kWorthKeeping_mm);
      best_mm = std::max(best_mm, candidate.room_mm);
      candidates.push_back(candidate);
    }
  }
  std::stable_sort(candidates.begin(), candidates.end(), better);
  return candidates;
}

// The first of the sorted candidates that differ in more than one step of the grid.
std::vector<Candidate> unlike_ones(const std::vector<Candidate>& candidates, double apart_mm) {
  std::vector<Candidate> chosen;
  for (const Candidate& c : candidates) {
    if (chosen.size() == kTried) break;
    const bool alike = std::any_of(chosen.begin(), chosen.end(), [&](const Candidate& other) {
      const Length dx = c.start.x - other.start.x, dy = c.start.y - other.start.y;
      const double turned = std::abs((c.start.heading - other.start.heading).wrapped().deg());
      return std::hypot(dx.mm(), dy.mm()) < apart_mm && turned < 2.0 * kHeadingStep_deg;
    });
    if (!alike) chosen.push_back(c);
  }
  return chosen;
}

class Search {
 public:
  Search(const internal::Sampler& sampler, const Scene& scene, const std::vector<WayPoint>& way,
         ForecastOptions options)
      : sampler_(sampler), scene_(scene), way_(way), options_(options) {
    options_.samples = kSearchSamples;
    options_.kept_paths = 0;
    options_.seed = ~options.seed;  // so that the answer's own samples haven't chosen it
  }

  void try_out(Candidate& c) const {
    c.room_mm = room_along(scene_, way_, c.start, -std::numeric_limits<double>::infinity());
    const auto walked = internal::run_walk({sampler_, scene_, c.start, c.start, options_});
    c.mishaps = static_cast<int>(walked.mishaps.size());
  }

  // Moves the start about as long as that makes it better, in steps that get finer.
  [[nodiscard]] Candidate refined(Candidate best) const {
    for (const auto& [step_mm, step_deg] : {std::pair{40.0, 10.0}, {20.0, 5.0}, {10.0, 5.0}}) {
      for (bool improved = true; improved;) {
        improved = false;
        const Pose from = best.start;
        for (int way = 0; way < 6; ++way) {
          const double sign = way % 2 == 0 ? 1.0 : -1.0;
          Candidate next{from, 0.0, 0};
          if (way / 2 == 0) next.start.x += Length::from_mm(sign * step_mm);
          if (way / 2 == 1) next.start.y += Length::from_mm(sign * step_mm);
          if (way / 2 == 2) next.start.heading += Angle::from_deg(sign * step_deg);
          next.start.heading = next.start.heading.wrapped();
          if (!can_stand(scene_, next.start)) continue;
          try_out(next);
          if (!better(next, best)) continue;
          best = next;
          improved = true;
        }
      }
    }
    return best;
  }

 private:
  const internal::Sampler& sampler_;
  const Scene& scene_;
  const std::vector<WayPoint>& way_;
  ForecastOptions options_;
};

}  // namespace

Result<SafeStart> safest_start(const Robot& robot, const DriveSettings& settings,
                               const std::vector<CompiledMove>& moves, const Table& table,
                               const ForecastOptions& options) {
  if (auto r = internal::check_inputs(robot, settings, table, options); !r) {
    return tl::unexpected(r.error());
  }
  const Scene scene = internal::scene_of(robot, table);
  const internal::Sampler sampler(robot, settings, moves);
  const std::vector<WayPoint> way = way_of(sampler, options);
  const std::vector<Candidate> grid = grid_of(scene, way);
  if (grid.empty()) {
    return bad_input("the robot can stand nowhere on the table, expected more room on it");
  }
  const Search search(sampler, scene, way, options);
  std::vector<Candidate> tried = unlike_ones(grid, 100.0);
  for (Candidate& c : tried) search.try_out(c);
  std::stable_sort(tried.begin(), tried.end(), better);
  Candidate best = tried[0];
  for (std::size_t i = 0; i < std::min(kRefined, tried.size()); ++i) {
    const Candidate refined = search.refined(tried[i]);
    if (better(refined, best)) best = refined;
  }
  ForecastOptions last = options;
  last.kept_paths = 0;
  const auto walked = internal::run_walk({sampler, scene, best.start, best.start, last});
  return SafeStart{best.start, internal::probability_of(static_cast<int>(walked.mishaps.size()),
                                                        options.samples)};
}

}  // namespace runtrue
