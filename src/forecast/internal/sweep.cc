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

// A point of one robot against one line: signed distance at both ends of the arc and its rates
// there per whole arc; `left` is the rate's part along the line's left at the start.
struct Passing {
  double at0, at1, rate0, rate1, left0;
};

[[gnu::always_inline]] inline Passing passing(const Lanes& l, int i, const Side& side, Vec point) {
  const std::size_t n = static_cast<std::size_t>(i);
  // The normal seen from the robot, ahead and to its left, before and after.
  const double ahead0 = side.normal.x * l.cos0[n] + side.normal.y * l.sin0[n];
  const double left0 = side.normal.y * l.cos0[n] - side.normal.x * l.sin0[n];
  const double ahead1 = side.normal.x * l.cos1[n] + side.normal.y * l.sin1[n];
  const double left1 = side.normal.y * l.cos1[n] - side.normal.x * l.sin1[n];
  const double own_ahead = l.length[n] - l.turn[n] * point.y, own_left = l.turn[n] * point.x;
  Passing p;
  p.at0 = side.normal.x * l.x0[n] + side.normal.y * l.y0[n] - side.level + ahead0 * point.x +
          left0 * point.y;
  p.at1 = side.normal.x * l.x1[n] + side.normal.y * l.y1[n] - side.level + ahead1 * point.x +
          left1 * point.y;
  p.rate0 = ahead0 * own_ahead + left0 * own_left;
  p.rate1 = ahead1 * own_ahead + left1 * own_left;
  p.left0 = left0 * own_ahead - ahead0 * own_left;
  return p;
}

// Whether the arc has its lowest place over the line between its ends.
[[gnu::always_inline]] inline bool dips(const Passing& p, double turn) {
  return (p.rate0 < 0.0 && p.rate1 > 0.0) || turn > kPi || turn < -kPi;
}

// How far below its start that place lies: (1 − β)/|k|, with α and β the line's normal along the
// way and across it into the bend, α² + β² = 1; as α²/((1 + β)|k|) where that is the better one.
[[gnu::always_inline]] inline double dip(const Passing& p, double turn) {
  const double way = std::sqrt(p.rate0 * p.rate0 + p.left0 * p.left0);
  const double size = turn < 0.0 ? -turn : turn;
  const double across = turn < 0.0 ? -p.left0 : p.left0;
  const bool into = across >= 0.0;
  const double over = into ? p.rate0 * p.rate0 : way - across;
  const double under = into ? size * (way + across) : size;
  return under > 0.0 ? over / under : 0.0;
}

[[gnu::always_inline]] inline double lesser(double a, double b) { return a < b ? a : b; }
[[gnu::always_inline]] inline double greater(double a, double b) { return a > b ? a : b; }

[[gnu::always_inline]] inline double lowest(const Lanes& l, int i, const Side& side, Vec point) {
  const Passing p = passing(l, i, side, point);
  const double turn = l.turn[static_cast<std::size_t>(i)];
  const double ends = lesser(p.at0, p.at1);
  return dips(p, turn) ? lesser(ends, p.at0 - dip(p, turn)) : ends;
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
  for (std::size_t i = 0; i < kLanes; ++i) {
    const double half = lanes.turn[i] * 0.5;
    const SinCos h = sin_cos(half);
    const bool none = half < 1e-8 && half > -1e-8;
    const double chord = lanes.length[i] * (none ? 1.0 : h.sin / (none ? 1.0 : half));
    // Heading half-way, which is the chord's direction, and at the end.
    const double c = lanes.cos0[i] * h.cos - lanes.sin0[i] * h.sin;
    const double s = lanes.sin0[i] * h.cos + lanes.cos0[i] * h.sin;
    lanes.x1[i] = lanes.x0[i] + chord * c;
    lanes.y1[i] = lanes.y0[i] + chord * s;
    lanes.cos1[i] = c * h.cos - s * h.sin;
    lanes.sin1[i] = s * h.cos + c * h.sin;
  }
}

RUNTRUE_WIDE void keep_least_from_line(const Lanes& lanes, const Side& side, Vec point,
                                       Lane& near) {
  for (int i = 0; i < kLanes; ++i) {
    const std::size_t n = static_cast<std::size_t>(i);
    near[n] = lesser(near[n], lowest(lanes, i, side, point));
  }
}

RUNTRUE_WIDE void keep_least_from_side(const Lanes& lanes, const Side& side, Vec point,
                                       double reach, Lane& near, Lane& room) {
  const Vec tangent{-side.normal.y, side.normal.x};
  for (int i = 0; i < kLanes; ++i) {
    const std::size_t n = static_cast<std::size_t>(i);
    const Passing p = passing(lanes, i, side, point);
    const double turn = lanes.turn[n];
    const double size = turn < 0.0 ? -turn : turn;
    // The same against the tangent: where along the side the point is.
    const Passing q = passing(lanes, i, {tangent, 0.0, 0.0, 0.0}, point);
    const double over0 = greater(greater(side.low - q.at0, q.at0 - side.high), 0.0);
    const double over1 = greater(greater(side.low - q.at1, q.at1 - side.high), 0.0);
    const double to_ends =
        lesser(std::sqrt(p.at0 * p.at0 + over0 * over0), std::sqrt(p.at1 * p.at1 + over1 * over1));
    // At the lowest place the way runs along the side: by then it has turned by the angle with sine
    // −α and cosine β, and gone (sin·along + (1 − cos)·across)/|k| along the tangent.
    const double way = std::sqrt(p.rate0 * p.rate0 + p.left0 * p.left0);
    const double sign = turn < 0.0 ? -1.0 : 1.0;
    const bool bent = dips(p, turn) && way > 0.0 && size > 0.0;
    const double lower = bent ? dip(p, turn) : 0.0;
    const double gone =
        bent ? (-p.rate0 * q.rate0 / (way * size) + lower * sign * q.left0 / way) : 0.0;
    const double over_low =
        greater(greater(side.low - (q.at0 + gone), (q.at0 + gone) - side.high), 0.0);
    const double at_low = p.at0 - lower;
    near[n] = lesser(near[n], lesser(to_ends, std::sqrt(at_low * at_low + over_low * over_low)));
    // An arc of up to half a round swells beyond its ends by its sagitta, under way·turn/8; a
    // larger one by less than its way.
    const double swell = reach + (size > kPi ? way : way * size * 0.125);
    const bool passes =
        lesser(q.at0, q.at1) - swell <= side.high && greater(q.at0, q.at1) + swell >= side.low;
    const double low = lesser(lesser(p.at0, p.at1), at_low) - reach;
    room[n] = lesser(room[n], passes ? low : kFar);
  }
}

RUNTRUE_WIDE void keep_least_from_place(const Lanes& lanes, Vec place, Vec point, Lane& near) {
  for (std::size_t i = 0; i < kLanes; ++i) {
    const double c0 = lanes.cos0[i], s0 = lanes.sin0[i], c1 = lanes.cos1[i], s1 = lanes.sin1[i];
    const double turn = lanes.turn[i];
    const double own_ahead = lanes.length[i] - turn * point.y, own_left = turn * point.x;
    const double x0 = lanes.x0[i] + c0 * point.x - s0 * point.y - place.x;
    const double y0 = lanes.y0[i] + s0 * point.x + c0 * point.y - place.y;
    const double x1 = lanes.x1[i] + c1 * point.x - s1 * point.y - place.x;
    const double y1 = lanes.y1[i] + s1 * point.x + c1 * point.y - place.y;
    const double vx0 = c0 * own_ahead - s0 * own_left, vy0 = s0 * own_ahead + c0 * own_left;
    const double vx1 = c1 * own_ahead - s1 * own_left, vy1 = s1 * own_ahead + c1 * own_left;
    const double g0 = x0 * x0 + y0 * y0, g1 = x1 * x1 + y1 * y1;
    const double ends = std::sqrt(lesser(g0, g1));
    // Nearest in between where the way first leads nearer and last away: with R the radius and off
    // the start's offset from the place, | |centre − place| − |R| | = |2·off·n + k·off²| /
    // (sqrt(1 + 2k·off·n + k²·off²) + 1).
    const double way2 = own_ahead * own_ahead + own_left * own_left;
    const bool passes =
        (x0 * vx0 + y0 * vy0 < 0.0 && x1 * vx1 + y1 * vy1 > 0.0) || turn > kPi || turn < -kPi;
    const bool inner = passes && way2 > 0.0;
    const double way = std::sqrt(inner ? way2 : 1.0);
    const double k = turn / way;
    const double across = (y0 * vx0 - x0 * vy0) / way;
    const double under = greater(1.0 + 2.0 * k * across + k * k * g0, 0.0);
    const double over = 2.0 * across + k * g0;
    const double between = (over < 0.0 ? -over : over) / (std::sqrt(under) + 1.0);
    near[i] = lesser(near[i], inner ? lesser(between, ends) : ends);
  }
}

RUNTRUE_WIDE void keep_most_from_line(const Lanes& lanes, const Side& side, Lane& apart) {
  for (int i = 0; i < kLanes; ++i) {
    const std::size_t n = static_cast<std::size_t>(i);
    apart[n] = greater(apart[n], lowest(lanes, i, side, {}));
  }
}

RUNTRUE_WIDE void keep_least(const Lane& from, double reach, Lane& room) {
  for (std::size_t i = 0; i < kLanes; ++i) room[i] = lesser(room[i], from[i] - reach);
}

double largest_of(const Lane& values, const Lane& going) {
  double largest = -kFar;
  for (std::size_t i = 0; i < kLanes; ++i) {
    if (going[i] == 1.0) largest = std::max(largest, values[i]);
  }
  return largest;
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
