#include "moves/fit_path.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "moves/internal/spot.h"

namespace runtrue {
namespace {

using internal::apart;
using internal::Spot;

constexpr double kFarthest_mm = 100'000.0;

// The place on the line from a to b that is nearest to p.
Spot foot_on_line(Spot p, Spot a, Spot b) {
  const double dx = b.x - a.x, dy = b.y - a.y, size2 = dx * dx + dy * dy;
  const double t =
      size2 > 0.0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / size2, 0.0, 1.0) : 0.0;
  return {a.x + t * dx, a.y + t * dy};
}

// How far the path between its points i and j lies from the straight line between these: a corner
// of it is the farthest.
std::vector<double> lines_off(const std::vector<Spot>& path) {
  const std::size_t n = path.size();
  std::vector<double> off(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      double& farthest = off[i * n + j];
      for (std::size_t k = i + 1; k < j; ++k) {
        farthest = std::max(farthest, apart(path[k], foot_on_line(path[k], path[i], path[j])));
      }
    }
  }
  return off;
}

// Indexes of the points kept with at most `lines` lines.
std::vector<std::size_t> best_corners(const std::vector<Spot>& path, std::size_t lines,
                                      double& farthest) {
  const std::size_t n = path.size();
  const std::vector<double> off = lines_off(path);
  constexpr double kFar = std::numeric_limits<double>::infinity();
  constexpr double kNoBetter_mm = 1e-6;  // roundings
  std::vector<double> best(n, kFar);     // to reach point j with the lines so far
  best[0] = 0.0;
  std::vector<std::vector<std::size_t>> from;  // by lines, the point before
  std::size_t used = 0;
  farthest = kFar;
  for (std::size_t l = 1; l <= lines; ++l) {
    std::vector<double> next(n, kFar);
    from.emplace_back(n, 0);
    for (std::size_t j = 1; j < n; ++j) {
      for (std::size_t i = 0; i < j; ++i) {
        const double here = std::max(best[i], off[i * n + j]);
        if (here < next[j]) {
          next[j] = here;
          from.back()[j] = i;
        }
      }
    }
    if (next[n - 1] < farthest - kNoBetter_mm) {
      farthest = next[n - 1];
      used = l;
    }
    best = std::move(next);
  }
  std::vector<std::size_t> corners{n - 1};
  for (std::size_t l = used; l > 0; --l) corners.push_back(from[l - 1][corners.back()]);
  std::reverse(corners.begin(), corners.end());
  return corners;
}

void add_move(MoveList& list, const SingleMove& move) {
  Statement statement;
  statement.what = move;
  list.body.push_back(std::move(statement));
}

struct Farthest {
  Spot on_path, on_line;
};

// The place of the path that lies farthest from the line which stands for it, and that line's.
Farthest farthest_of(const std::vector<Spot>& path, const std::vector<std::size_t>& corners) {
  Farthest farthest{path[0], path[0]};
  double off = -1.0;
  for (std::size_t c = 0; c + 1 < corners.size(); ++c) {
    for (std::size_t k = corners[c] + 1; k < corners[c + 1]; ++k) {
      const Spot foot = foot_on_line(path[k], path[corners[c]], path[corners[c + 1]]);
      const double here = apart(path[k], foot);
      if (here <= off) continue;
      off = here;
      farthest = {path[k], foot};
    }
  }
  return farthest;
}

Point point_at(Spot spot) { return {Length::from_mm(spot.x), Length::from_mm(spot.y)}; }

double rounded(double value, double step) { return std::round(value / step) * step; }

// Drives from corner to corner. Each move starts where the rounded ones before have led.
MoveList moves_along(const std::vector<Spot>& corners, const Pose& start) {
  constexpr double kLength_mm = 0.1, kAngle_deg = 0.01;
  MoveList list;
  Pose at = start;
  for (std::size_t i = 1; i < corners.size(); ++i) {
    const double dx = corners[i].x - at.x.mm(), dy = corners[i].y - at.y.mm();
    const Angle turned = (Angle::from_rad(std::atan2(dy, dx)) - at.heading).wrapped();
    const double turn_deg = rounded(turned.deg(), kAngle_deg);
    const double way_mm = rounded(std::hypot(dx, dy), kLength_mm);
    if (way_mm <= 0.0) continue;
    if (turn_deg != 0.0) {
      add_move(list, TurnMove{turn_deg > 0.0 ? Side::kLeft : Side::kRight,
                              {Angle::from_deg(std::abs(turn_deg)), std::nullopt}});
    }
    add_move(list, DriveMove{{Length::from_mm(way_mm), std::nullopt}});
    at = compose(at, pose_after({Length(), Angle::from_deg(turn_deg)}));
    at = compose(at, pose_after({Length::from_mm(way_mm), Angle()}));
  }
  return list;
}

}  // namespace

std::vector<Point> sized_to(const std::vector<Point>& path, Length long_side) {
  if (path.empty()) return path;
  Point low = path[0], high = path[0];
  for (const Point& p : path) {
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  const Length size = std::max(high.x - low.x, high.y - low.y);
  if (size <= Length()) return path;
  const double by = long_side / size;
  std::vector<Point> sized;
  for (const Point& p : path) {
    sized.push_back({path[0].x + (p.x - path[0].x) * by, path[0].y + (p.y - path[0].y) * by});
  }
  return sized;
}

Result<FittedPath> fit_path(const std::vector<Point>& path, int most_moves) {
  if (most_moves < 1) {
    return bad_input(fmt::format("at most {} moves are asked for, expected 1 or more", most_moves));
  }
  std::vector<Spot> spots;
  for (const Point& p : path) {
    const Spot spot{p.x.mm(), p.y.mm()};
    if (!(std::abs(spot.x) <= kFarthest_mm && std::abs(spot.y) <= kFarthest_mm)) {
      return bad_input(
          fmt::format("point {} is {:g}, {:g}, expected numbers within 100 m of the "
                      "origin",
                      &p - path.data() + 1, spot.x, spot.y));
    }
    if (spots.empty() || apart(spots.back(), spot) > 0.0) spots.push_back(spot);
  }
  if (spots.size() < 2) {
    return bad_input(fmt::format("the path has {} places, expected two or more", spots.size()));
  }
  if (spots.size() > kMostPathPoints) {
    return bad_input(
        fmt::format("the path has {} points, expected at most {}", spots.size(), kMostPathPoints));
  }
  // n lines take n drives and n − 1 turns.
  const std::size_t lines =
      std::min((static_cast<std::size_t>(most_moves) + 1) / 2, spots.size() - 1);
  double farthest = 0.0;
  std::vector<Spot> corners;
  const std::vector<std::size_t> kept = best_corners(spots, lines, farthest);
  for (const std::size_t i : kept) corners.push_back(spots[i]);
  FittedPath fitted;
  fitted.farthest_off = Length::from_mm(farthest);
  const auto [on_path, on_line] = farthest_of(spots, kept);
  fitted.farthest_at = point_at(on_path);
  fitted.farthest_from = point_at(on_line);
  for (const Spot c : corners) fitted.corners.push_back(point_at(c));
  fitted.start = {
      fitted.corners[0].x, fitted.corners[0].y,
      Angle::from_rad(std::atan2(corners[1].y - corners[0].y, corners[1].x - corners[0].x))};
  fitted.moves = moves_along(corners, fitted.start);
  return fitted;
}

}  // namespace runtrue
