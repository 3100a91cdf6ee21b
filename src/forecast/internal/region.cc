#include "forecast/internal/region.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace runtrue::internal {
namespace {

constexpr int kGrid = 72;            // nodes each way; the outermost are always outside
constexpr double kLeastSd_mm = 0.3;  // so that ends without spread have a visible outline
// Half of what suits a normal spread [Sil86, n^(-1/6) in two dimensions]: a bent one is finer.
constexpr double kSmoothing = 0.5;
// Beyond eight standard deviations on either axis lie at most 2/64 of any spread (Chebyshev).
constexpr double kFarthest_sd = 8.0;

// Principal axes of the ends; `along` and `across` are unit vectors times one standard deviation.
struct Axes {
  Vec middle, along, across;
  [[nodiscard]] Vec to_plane(double u, double v) const { return middle + along * u + across * v; }
  [[nodiscard]] Vec from_plane(Vec p) const {
    const Vec off = p - middle;
    return {dot(off, along) / dot(along, along), dot(off, across) / dot(across, across)};
  }
};

Axes axes_of(std::span<const Vec> ends) {
  const double n = static_cast<double>(ends.size());
  Axes axes;
  for (const Vec e : ends) axes.middle = axes.middle + e * (1.0 / n);
  double xx = 0.0, xy = 0.0, yy = 0.0;
  for (const Vec e : ends) {
    const Vec off = e - axes.middle;
    xx += off.x * off.x / n;
    xy += off.x * off.y / n;
    yy += off.y * off.y / n;
  }
  const double angle = 0.5 * std::atan2(2.0 * xy, xx - yy);
  const double half_sum = (xx + yy) / 2.0, half_gap = std::hypot((xx - yy) / 2.0, xy);
  const Vec unit{std::cos(angle), std::sin(angle)};
  axes.along = unit * std::max(std::sqrt(half_sum + half_gap), kLeastSd_mm);
  axes.across =
      Vec{-unit.y, unit.x} * std::max(std::sqrt(std::max(half_sum - half_gap, 0.0)), kLeastSd_mm);
  return axes;
}

// Counts and smoothed density on a grid over the ends, in standard deviations.
struct Density {
  Axes axes;
  Vec low, step;
  std::vector<double> count = std::vector<double>(kGrid * kGrid);
  std::vector<double> smooth = count;
  double outside = 0.0;

  static std::size_t index(int column, int row) {
    return static_cast<std::size_t>(row) * kGrid + static_cast<std::size_t>(column);
  }
  [[nodiscard]] Vec at(double column, double row) const {
    return axes.to_plane(low.x + step.x * column, low.y + step.y * row);
  }
};

std::vector<double> bell(double width, double step) {
  const int reach = static_cast<int>(std::ceil(4.0 * width / step));
  std::vector<double> weights;
  for (int i = 0; i <= reach; ++i)
    weights.push_back(std::exp(-0.5 * std::pow(i * step / width, 2)));
  return weights;
}

// One pass of smoothing along columns (stride 1) or rows (stride kGrid).
std::vector<double> smoothed(const std::vector<double>& values, const std::vector<double>& weights,
                             bool across_columns) {
  std::vector<double> result(values.size());
  const auto at = [&](int line, int place) {
    return across_columns ? Density::index(place, line) : Density::index(line, place);
  };
  for (int line = 0; line < kGrid; ++line) {
    for (int place = 0; place < kGrid; ++place) {
      const double value = values[at(line, place)];
      if (value == 0.0) continue;
      for (int i = 0; i < static_cast<int>(weights.size()); ++i) {
        const double share = value * weights[static_cast<std::size_t>(i)];
        if (place + i < kGrid) result[at(line, place + i)] += share;
        if (i > 0 && place - i >= 0) result[at(line, place - i)] += share;
      }
    }
  }
  return result;
}

Density density_of(std::span<const Vec> ends) {
  Density density;
  density.axes = axes_of(ends);
  Vec low{kFarthest_sd, kFarthest_sd}, high{-kFarthest_sd, -kFarthest_sd};
  std::vector<Vec> inner;
  for (const Vec end : ends) {
    const Vec p = density.axes.from_plane(end);
    if (std::max(std::abs(p.x), std::abs(p.y)) > kFarthest_sd) {
      density.outside += 1.0;
      continue;
    }
    low = {std::min(low.x, p.x), std::min(low.y, p.y)};
    high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    inner.push_back(p);
  }
  const double width = kSmoothing * std::pow(static_cast<double>(ends.size()), -1.0 / 6.0);
  const Vec margin{3.0 * width + 0.1, 3.0 * width + 0.1};
  density.low = low - margin;
  density.step = (high + margin - density.low) * (1.0 / (kGrid - 1));
  for (const Vec p : inner) {
    const Vec node{(p.x - density.low.x) / density.step.x, (p.y - density.low.y) / density.step.y};
    density.count[Density::index(static_cast<int>(std::lround(node.x)),
                                 static_cast<int>(std::lround(node.y)))] += 1.0;
  }
  density.smooth = smoothed(density.count, bell(width, density.step.x), true);
  density.smooth = smoothed(density.smooth, bell(width, density.step.y), false);
  for (int i = 0; i < kGrid; ++i) {
    for (const auto border : {Density::index(i, 0), Density::index(i, kGrid - 1),
                              Density::index(0, i), Density::index(kGrid - 1, i)}) {
      density.smooth[border] = -1.0;
    }
  }
  return density;
}

// The nodes of at least `level` that hang together with `seed`, and how many ends they hold.
struct Patch {
  std::vector<char> holds = std::vector<char>(kGrid * kGrid);
  double ends = 0.0;
};

Patch patch_at(const Density& density, std::size_t seed, double level) {
  Patch patch;
  std::vector<std::size_t> open{seed};
  patch.holds[seed] = 1;
  while (!open.empty()) {
    const std::size_t node = open.back();
    open.pop_back();
    patch.ends += density.count[node];
    // Border nodes lie below every level, so a neighbour never lies off the grid.
    for (const std::size_t next : {node - 1, node + 1, node - kGrid, node + kGrid}) {
      if (patch.holds[next] || density.smooth[next] < level) continue;
      patch.holds[next] = 1;
      open.push_back(next);
    }
  }
  return patch;
}

// Walks round the patch with its nodes on the left, from the crossing right of its rightmost node.
std::vector<Vec> outline_of(const Density& density, const Patch& patch, double level) {
  int column = 0, row = 0;
  for (int r = 0; r < kGrid; ++r) {
    for (int c = 0; c < kGrid; ++c) {
      if (patch.holds[Density::index(c, r)] && c >= column) {
        column = c;
        row = r;
      }
    }
  }
  const auto holds = [&](int c, int r) { return patch.holds[Density::index(c, r)] != 0; };
  std::array<int, 4> here{column, row, 1, 0};  // node within, and the way to its neighbour outside
  const std::array<int, 4> begin = here;
  std::vector<Vec> outline;
  do {
    const auto [c, r, dc, dr] = here;
    const double within = density.smooth[Density::index(c, r)];
    const double beyond = std::max(density.smooth[Density::index(c + dc, r + dr)], 0.0);
    const double part =
        within > beyond ? std::clamp((within - level) / (within - beyond), 0.0, 1.0) : 1.0;
    outline.push_back(density.at(c + dc * part, r + dr * part));
    const int uc = -dr, ur = dc;  // the way ahead
    if (!holds(c + uc, r + ur)) {
      here = {c, r, uc, ur};
    } else if (!holds(c + uc + dc, r + ur + dr)) {
      here = {c + uc, r + ur, dc, dr};
    } else {
      here = {c + uc + dc, r + ur + dr, -uc, -ur};
    }
  } while (here != begin);
  return outline;
}

}  // namespace

std::vector<Vec> region_around(std::span<const Vec> ends, double part) {
  const Density density = density_of(ends);
  std::vector<std::size_t> order(density.smooth.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return density.smooth[a] != density.smooth[b] ? density.smooth[a] > density.smooth[b] : a < b;
  });
  const double wanted = part * static_cast<double>(ends.size());
  // The highest level whose patch holds enough; at level 0 it holds all but the farthest ends.
  std::size_t enough = order.size() - 4 * kGrid + 3, too_few = 0;
  while (too_few + 1 < enough) {
    const std::size_t middle = (enough + too_few) / 2;
    const bool holds = patch_at(density, order[0], density.smooth[order[middle]]).ends >= wanted;
    (holds ? enough : too_few) = middle;
  }
  const double level = density.smooth[order[enough]];
  return outline_of(density, patch_at(density, order[0], level), level);
}

}  // namespace runtrue::internal
