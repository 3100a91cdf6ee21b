#include "forecast/internal/sweep.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

// Function versions are chosen while the program is loaded, before the address and thread checks
// are ready; checked builds take the plain version, whose bits are the same.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && \
    !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
#define RUNTRUE_WIDE __attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default")))
#else
#define RUNTRUE_WIDE
#endif

// No array that a loop writes is one that it reads elsewhere.
#if defined(__clang__)
#define RUNTRUE_APART
#else
#define RUNTRUE_APART _Pragma("GCC ivdep")
#endif

namespace runtrue::internal {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kFar = std::numeric_limits<double>::max();

struct SinCos {
  double sin, cos;
};

// Cody-Waite reduction to a quarter turn about 0 and the minimax polynomials of [Ceph89], good to
// about an ulp for |a| < 1e5; written without branches so that a loop over it is vectorised.
[[gnu::always_inline]] inline SinCos sin_cos(double a) {
  constexpr double kRound = 0x1.8p52;  // adding it rounds to a whole number
  const double q = (a * (2.0 / kPi) + kRound) - kRound;
  const double r =
      ((a - q * 0x1.921fb54400000p+0) - q * 0x1.0b4611a600000p-34) - q * 0x1.3198a2e037073p-69;
  const double r2 = r * r;
  double s = 1.58962301576546568060e-10;
  s = s * r2 - 2.50507477628578072866e-8;
  s = s * r2 + 2.75573136213857245213e-6;
  s = s * r2 - 1.98412698295895385996e-4;
  s = s * r2 + 8.33333333332211858878e-3;
  s = s * r2 - 1.66666666666666307295e-1;
  s = r + r * r2 * s;
  double c = -1.13585365213876817300e-11;
  c = c * r2 + 2.08757008419747316778e-9;
  c = c * r2 - 2.75573141792967388112e-7;
  c = c * r2 + 2.48015872888517045348e-5;
  c = c * r2 - 1.38888888888730564116e-3;
  c = c * r2 + 4.16666666666665929218e-2;
  c = 1.0 - 0.5 * r2 + r2 * r2 * c;
  const double quarter = q - 4.0 * ((q * 0.25 + kRound) - kRound);  // -2 .. 2
  const bool odd = quarter == 1.0 || quarter == -1.0;
  const double sin_size = odd ? c : s, cos_size = odd ? s : c;
  const bool half = quarter == 2.0 || quarter == -2.0;
  return {(half || quarter == -1.0) ? -sin_size : sin_size,
          (half || quarter == 1.0) ? -cos_size : cos_size};
}

// The lanes' arrays one by one, which the compiler can tell apart.
struct Arrays {
  const double *x0, *y0, *cos0, *sin0, *length, *turn, *x1, *y1, *cos1, *sin1, *one_by_turn;
};

[[gnu::always_inline]] inline Arrays arrays_of(const Lanes& l) {
  return {l.x0.data(),     l.y0.data(),   l.cos0.data(),       l.sin0.data(),
          l.length.data(), l.turn.data(), l.x1.data(),         l.y1.data(),
          l.cos1.data(),   l.sin1.data(), l.one_by_turn.data()};
}

// A point of one robot against one line: signed distance at both ends of the arc and its rates
// there per whole arc; `left0` is what the rate would be if the point went to its left instead.
struct Passing {
  double at0, at1, rate0, rate1, left0;
};

[[gnu::always_inline]] inline Passing passing(Arrays l, int i, double nx, double ny, double level,
                                              double px, double py) {
  // The normal seen from the robot, ahead and to its left, before and after.
  const double ahead0 = nx * l.cos0[i] + ny * l.sin0[i];
  const double left0 = ny * l.cos0[i] - nx * l.sin0[i];
  const double ahead1 = nx * l.cos1[i] + ny * l.sin1[i];
  const double left1 = ny * l.cos1[i] - nx * l.sin1[i];
  const double own_ahead = l.length[i] - l.turn[i] * py, own_left = l.turn[i] * px;
  Passing p;
  p.at0 = nx * l.x0[i] + ny * l.y0[i] - level + ahead0 * px + left0 * py;
  p.at1 = nx * l.x1[i] + ny * l.y1[i] - level + ahead1 * px + left1 * py;
  p.rate0 = ahead0 * own_ahead + left0 * own_left;
  p.rate1 = ahead1 * own_ahead + left1 * own_left;
  p.left0 = left0 * own_ahead - ahead0 * own_left;
  return p;
}

[[gnu::always_inline]] inline double lesser(double a, double b) { return a < b ? a : b; }
[[gnu::always_inline]] inline double greater(double a, double b) { return a > b ? a : b; }
[[gnu::always_inline]] inline double size_of(double a) { return a < 0.0 ? -a : a; }

// How far below its start a point's way has its lowest place over the line, 0 where that is at one
// of its ends: (1 − β)/|k|, with α and β the line's normal along the way and across it into the
// bend, α² + β² = 1. `way` is the point's.
[[gnu::always_inline]] inline double dip(const Passing& p, double turn, double one_by_turn,
                                         double way) {
  const double across = turn < 0.0 ? -p.left0 : p.left0;
  const bool between_ends = (p.rate0 < 0.0) & (p.rate1 > 0.0);
  return (between_ends | (size_of(turn) > kPi)) ? (way - across) * one_by_turn : 0.0;
}

[[gnu::always_inline]] inline double lowest(Arrays l, int i, Side side, Vec point, double way) {
  const Passing p = passing(l, i, side.normal.x, side.normal.y, side.level, point.x, point.y);
  return lesser(lesser(p.at0, p.at1), p.at0 - dip(p, l.turn[i], l.one_by_turn[i], way));
}

}  // namespace

Side side_between(Vec a, Vec b) {
  const Vec along = (b - a) * (1.0 / internal::length(b - a));
  Side side;
  side.normal = {-along.y, along.x};
  side.level = dot(side.normal, a);
  // The tangent of a normal (nx, ny) is (-ny, nx), which runs from b to a.
  side.low = -dot(along, b);
  side.high = -dot(along, a);
  return side;
}

RUNTRUE_WIDE void advance(Lanes& lanes) {
  const Arrays l = arrays_of(lanes);
  double* const x1 = lanes.x1.data();
  double* const y1 = lanes.y1.data();
  double* const cos1 = lanes.cos1.data();
  double* const sin1 = lanes.sin1.data();
  double* const one_by_turn = lanes.one_by_turn.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const double half = l.turn[i] * 0.5;
    const SinCos h = sin_cos(half);
    const bool none = size_of(half) < 1e-8;
    const double chord = l.length[i] * (none ? 1.0 : h.sin / (none ? 1.0 : half));
    // Heading half-way, which is the chord's direction, and at the end.
    const double c = l.cos0[i] * h.cos - l.sin0[i] * h.sin;
    const double s = l.sin0[i] * h.cos + l.cos0[i] * h.sin;
    x1[i] = l.x0[i] + chord * c;
    y1[i] = l.y0[i] + chord * s;
    cos1[i] = c * h.cos - s * h.sin;
    sin1[i] = s * h.cos + c * h.sin;
    const double size = size_of(l.turn[i]);
    one_by_turn[i] = size < kSlightTurn_rad ? 0.0 : 1.0 / (size < kSlightTurn_rad ? 1.0 : size);
  }
}

RUNTRUE_WIDE void measure_way(const Lanes& lanes, Rider& rider) {
  const Arrays l = arrays_of(lanes);
  const Vec point = rider.point;
  double* const way = rider.way.data();
  double* const one_by_way = rider.one_by_way.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const double ahead = l.length[i] - l.turn[i] * point.y, left = l.turn[i] * point.x;
    const double size = std::sqrt(ahead * ahead + left * left);
    way[i] = size;
    one_by_way[i] = size > 0.0 ? 1.0 / (size > 0.0 ? size : 1.0) : 0.0;
  }
}

RUNTRUE_WIDE void keep_least_from_line(const Lanes& lanes, Side side, const Rider& rider,
                                       Lane& near) {
  const Arrays l = arrays_of(lanes);
  const Vec point = rider.point;
  const double* const way = rider.way.data();
  double* const nearest = near.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    nearest[i] = lesser(nearest[i], lowest(l, i, side, point, way[i]));
  }
}

RUNTRUE_WIDE void keep_least_from_side(const Lanes& lanes, Side side, const Rider& rider,
                                       double reach, Lane& near2, Lane& room) {
  const Arrays l = arrays_of(lanes);
  const Vec point = rider.point;
  const double* const way = rider.way.data();
  const double* const one_by_way = rider.one_by_way.data();
  double* const nearest2 = near2.data();
  double* const left_over = room.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const Passing p = passing(l, i, side.normal.x, side.normal.y, side.level, point.x, point.y);
    // The same against the tangent: where along the side the point is.
    const Passing q = passing(l, i, -side.normal.y, side.normal.x, 0.0, point.x, point.y);
    const double size = size_of(l.turn[i]);
    const double over0 = greater(greater(side.low - q.at0, q.at0 - side.high), 0.0);
    const double over1 = greater(greater(side.low - q.at1, q.at1 - side.high), 0.0);
    const double to_ends2 = lesser(p.at0 * p.at0 + over0 * over0, p.at1 * p.at1 + over1 * over1);
    // At the lowest place the way runs along the side: by then it has turned by the angle with sine
    // −α and cosine β, and gone (sin·along + (1 − cos)·across)/|k| along the tangent.
    const double lower = dip(p, l.turn[i], l.one_by_turn[i], way[i]);
    const double across = l.turn[i] < 0.0 ? -q.left0 : q.left0;
    const double gone = (lower * across - p.rate0 * q.rate0 * l.one_by_turn[i]) * one_by_way[i];
    const double at = lower > 0.0 ? q.at0 + gone : q.at0;
    const double over = greater(greater(side.low - at, at - side.high), 0.0);
    const double low = p.at0 - lower;
    nearest2[i] = lesser(nearest2[i], lesser(to_ends2, low * low + over * over));
    // An arc of up to half a round swells beyond its ends by its sagitta, under way·turn/8; a
    // larger one by less than its way.
    const double swell = reach + way[i] * (size > kPi ? 1.0 : size * 0.125);
    const bool passes =
        (lesser(q.at0, q.at1) - swell <= side.high) & (greater(q.at0, q.at1) + swell >= side.low);
    const double lowest_of_all = lesser(lesser(p.at0, p.at1), low) - reach;
    left_over[i] = lesser(left_over[i], passes ? lowest_of_all : kFar);
  }
}

RUNTRUE_WIDE void keep_least_from_place(const Lanes& lanes, Vec place, const Rider& rider,
                                        Lane& near) {
  const Arrays l = arrays_of(lanes);
  const Vec point = rider.point;
  const double* const one_by_way = rider.one_by_way.data();
  double* const nearest = near.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const double c0 = l.cos0[i], s0 = l.sin0[i], c1 = l.cos1[i], s1 = l.sin1[i];
    const double turn = l.turn[i];
    const double own_ahead = l.length[i] - turn * point.y, own_left = turn * point.x;
    const double x0 = l.x0[i] + c0 * point.x - s0 * point.y - place.x;
    const double y0 = l.y0[i] + s0 * point.x + c0 * point.y - place.y;
    const double x1 = l.x1[i] + c1 * point.x - s1 * point.y - place.x;
    const double y1 = l.y1[i] + s1 * point.x + c1 * point.y - place.y;
    const double vx0 = c0 * own_ahead - s0 * own_left, vy0 = s0 * own_ahead + c0 * own_left;
    const double vx1 = c1 * own_ahead - s1 * own_left, vy1 = s1 * own_ahead + c1 * own_left;
    const double g0 = x0 * x0 + y0 * y0, g1 = x1 * x1 + y1 * y1;
    const double ends = std::sqrt(lesser(g0, g1));
    // Nearest in between where the way first leads nearer and last away: with R the radius and off
    // the start's offset from the place, | |centre − place| − |R| | = |2·off·n + k·off²| /
    // (sqrt(1 + 2k·off·n + k²·off²) + 1).
    const bool passes =
        ((x0 * vx0 + y0 * vy0 < 0.0) & (x1 * vx1 + y1 * vy1 > 0.0)) | (size_of(turn) > kPi);
    const double k = turn * one_by_way[i];
    const double across = (y0 * vx0 - x0 * vy0) * one_by_way[i];
    const double under = greater(1.0 + 2.0 * k * across + k * k * g0, 0.0);
    const double between = size_of(2.0 * across + k * g0) / (std::sqrt(under) + 1.0);
    const double least = (passes & (one_by_way[i] > 0.0)) ? lesser(between, ends) : ends;
    nearest[i] = lesser(nearest[i], least);
  }
}

RUNTRUE_WIDE void keep_most_from_line(const Lanes& lanes, Side side, const Rider& origin,
                                      Lane& apart) {
  const Arrays l = arrays_of(lanes);
  const double* const way = origin.way.data();
  double* const most = apart.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) most[i] = greater(most[i], lowest(l, i, side, {}, way[i]));
}

RUNTRUE_WIDE void keep_least_root(const Lane& near2, Lane& near) {
  const double* const source = near2.data();
  double* const target = near.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) target[i] = lesser(target[i], std::sqrt(source[i]));
}

RUNTRUE_WIDE void keep_least(const Lane& from, double reach, Lane& room) {
  const double* const source = from.data();
  double* const target = room.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) target[i] = lesser(target[i], source[i] - reach);
}

RUNTRUE_WIDE double largest_of(const Lane& values, const Lane& going) {
  constexpr int kStrands = 16;  // side by side; the largest is the same in any order
  const double* const value = values.data();
  const double* const goes = going.data();
  double best[kStrands];
  for (double& b : best) b = -kFar;
  for (int i = 0; i < kLanes; i += kStrands) {
    for (int j = 0; j < kStrands; ++j) {
      best[j] = greater(best[j], goes[i + j] == 1.0 ? value[i + j] : -kFar);
    }
  }
  return *std::max_element(best, best + kStrands);
}

Bounds bounds_of(const Lanes& lanes, const Lane& going) {
  Bounds b{{kFar, kFar}, {-kFar, -kFar}, 0.0};
  for (std::size_t i = 0; i < kLanes; ++i) {
    if (going[i] != 1.0) continue;
    b.low = {std::min({b.low.x, lanes.x0[i], lanes.x1[i]}),
             std::min({b.low.y, lanes.y0[i], lanes.y1[i]})};
    b.high = {std::max({b.high.x, lanes.x0[i], lanes.x1[i]}),
              std::max({b.high.y, lanes.y0[i], lanes.y1[i]})};
    const double way = std::abs(lanes.length[i]), turn = std::abs(lanes.turn[i]);
    b.swell = std::max(b.swell, turn > kPi ? way : way * turn * 0.125);
  }
  return b;
}

}  // namespace runtrue::internal
