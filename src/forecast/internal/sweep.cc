#include "forecast/internal/sweep.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "forecast/internal/wide.h"

namespace runtrue::internal {
namespace {

constexpr float kHalfRound_rad = std::numbers::pi_v<float>;
constexpr int kChunk = 64;  // lanes that are passed over together

[[gnu::always_inline]] inline float lesser(float a, float b) { return a < b ? a : b; }
[[gnu::always_inline]] inline float greater(float a, float b) { return a > b ? a : b; }
[[gnu::always_inline]] inline float size_of(float a) { return a < 0.0F ? -a : a; }
[[gnu::always_inline]] inline double size_of(double a) { return a < 0.0 ? -a : a; }

// The flock's arrays one by one, which the compiler can tell apart.
struct Arrays {
  const float *x0, *y0, *cos0, *sin0, *length, *turn, *x1, *y1, *cos1, *sin1, *one_by_turn, *swell;
};

[[gnu::always_inline]] inline Arrays arrays_of(const Flock& f) {
  return {f.x0.data(),     f.y0.data(),   f.cos0.data(),        f.sin0.data(),
          f.length.data(), f.turn.data(), f.x1.data(),          f.y1.data(),
          f.cos1.data(),   f.sin1.data(), f.one_by_turn.data(), f.swell.data()};
}

// One robot's frame against one line: signed distance of its origin at both ends of the arc, and
// the line's normal seen from it, ahead and to its left.
struct Facing {
  float at0, at1, ahead0, left0, ahead1, left1;
};

[[gnu::always_inline]] inline Facing facing(Arrays f, int i, float nx, float ny, float level) {
  return {nx * f.x0[i] + ny * f.y0[i] - level, nx * f.x1[i] + ny * f.y1[i] - level,
          nx * f.cos0[i] + ny * f.sin0[i],     ny * f.cos0[i] - nx * f.sin0[i],
          nx * f.cos1[i] + ny * f.sin1[i],     ny * f.cos1[i] - nx * f.sin1[i]};
}

// A point of one robot against one line: signed distance at both ends of the arc and its rates
// there per whole arc; `across` is what the rate would be if the point went into the bend instead.
struct Passing {
  float at0, at1, rate0, rate1, across;
};

[[gnu::always_inline]] inline Passing passing(const Facing& f, float length, float turn, float px,
                                              float py) {
  const float own_ahead = length - turn * py, own_left = turn * px;
  const float across = f.left0 * own_ahead - f.ahead0 * own_left;
  return {f.at0 + f.ahead0 * px + f.left0 * py, f.at1 + f.ahead1 * px + f.left1 * py,
          f.ahead0 * own_ahead + f.left0 * own_left, f.ahead1 * own_ahead + f.left1 * own_left,
          turn < 0.0F ? -across : across};
}

// How far below its start a point's way has its lowest place over the line, 0 where that is at one
// of its ends: (1 − β)/|k|, with α and β the line's normal along the way and across it into the
// bend, α² + β² = 1, and 1 − β = α²/(1 + β) where that keeps more digits. `way` is the point's.
[[gnu::always_inline]] inline float dip(const Passing& p, float turn, float one_by_turn,
                                        float way) {
  const bool between_ends = (p.rate0 < 0.0F) & (p.rate1 > 0.0F);
  const float sum = way + p.across;
  const bool into = p.across >= 0.0F;
  const float deep = into ? p.rate0 * p.rate0 / sum : way - p.across;
  return (between_ends | (size_of(turn) > kHalfRound_rad)) ? deep * one_by_turn : 0.0F;
}

[[gnu::always_inline]] inline float lowest(const Passing& p, float turn, float one_by_turn,
                                           float way) {
  return lesser(lesser(p.at0, p.at1), p.at0 - dip(p, turn, one_by_turn, way));
}

// The largest of a chunk, in strands side by side; the largest is the same in any order.
[[gnu::always_inline]] inline float most_of(const float* values, int from) {
  static_assert(kChunk == 64);
  float best[32];
  RUNTRUE_APART
  for (int j = 0; j < 32; ++j) best[j] = greater(values[from + j], values[from + 32 + j]);
  RUNTRUE_APART
  for (int j = 0; j < 16; ++j) best[j] = greater(best[j], best[j + 16]);
  float most = best[0];
  for (int j = 1; j < 16; ++j) most = greater(most, best[j]);
  return most;
}

// Whether any lane of the chunk may come nearer to the side than it has come so far, or cross it.
template <bool kWholeLine>
[[gnu::always_inline]] inline bool may_come_nearer(Arrays f, int from, Side s, float reach,
                                                   float good_to, const float* near) {
  constexpr float kTiny = std::numeric_limits<float>::min();
  float over[kChunk];
  RUNTRUE_APART
  for (int j = 0; j < kChunk; ++j) {
    const int i = from + j;
    const float at0 = s.normal_x * f.x0[i] + s.normal_y * f.y0[i] - s.level;
    const float at1 = s.normal_x * f.x1[i] + s.normal_y * f.y1[i] - s.level;
    float gap = lesser(at0, at1);
    if constexpr (!kWholeLine) {
      const float along0 = s.normal_x * f.y0[i] - s.normal_y * f.x0[i];
      const float along1 = s.normal_x * f.y1[i] - s.normal_y * f.x1[i];
      gap = greater(greater(gap, -greater(at0, at1)),
                    greater(s.low - greater(along0, along1), lesser(along0, along1) - s.high));
    }
    const float limit = near[i] > -kFar ? greater(near[i], kTiny) : -kFar;
    over[j] = limit - (gap - (f.swell[i] + reach + good_to));
  }
  return most_of(over, 0) > 0.0F;
}

struct Way {
  float x, y;
  const float *way, *one_by_way;
};

// The way of up to four points over a side; a point may stand for several.
struct Four {
  Way a, b, c, d;
};

template <bool kSeveral>
[[gnu::always_inline]] inline void pass_line(Arrays f, int from, Side s, Four ways, float kept_off,
                                             float* near, float* room) {
  const float passable = s.open ? -kFar : kFar;
  RUNTRUE_APART
  for (int i = from; i < from + kChunk; ++i) {
    const Facing facing_it = facing(f, i, s.normal_x, s.normal_y, s.level);
    const float length = f.length[i], turn = f.turn[i], one_by_turn = f.one_by_turn[i];
    const auto of = [&](const Way& w) __attribute__((always_inline)) {
      return lowest(passing(facing_it, length, turn, w.x, w.y), turn, one_by_turn, w.way[i]);
    };
    float least = of(ways.a);
    if constexpr (kSeveral) {
      least = lesser(lesser(least, of(ways.b)), lesser(of(ways.c), of(ways.d)));
    }
    near[i] = lesser(near[i], least);
    room[i] = lesser(room[i], greater(least - kept_off, passable));
  }
}

// How near a point comes to a side between its ends, squared, and the room it leaves.
struct BySide {
  float least2, room;
};

[[gnu::always_inline]] inline BySide by_side(const Facing& across_it, const Facing& along_it,
                                             const Side& s, float length, float turn,
                                             float one_by_turn, const Way& w, int i,
                                             float kept_off) {
  const float way = w.way[i], size = size_of(turn);
  const Passing p = passing(across_it, length, turn, w.x, w.y);
  // The same against the tangent: where along the side the point is.
  const Passing q = passing(along_it, length, turn, w.x, w.y);
  const float over0 = greater(greater(s.low - q.at0, q.at0 - s.high), 0.0F);
  const float over1 = greater(greater(s.low - q.at1, q.at1 - s.high), 0.0F);
  const float ends2 = lesser(p.at0 * p.at0 + over0 * over0, p.at1 * p.at1 + over1 * over1);
  // At the lowest place the way runs along the side: by then it has turned by the angle with sine
  // −α and cosine β, and gone (sin·along + (1 − cos)·across)/|k| along the tangent.
  const float lower = dip(p, turn, one_by_turn, way);
  const float gone = (lower * q.across - p.rate0 * q.rate0 * one_by_turn) * w.one_by_way[i];
  const float at = lower > 0.0F ? q.at0 + gone : q.at0;
  const float over = greater(greater(s.low - at, at - s.high), 0.0F);
  const float low = p.at0 - lower;
  // An arc of up to half a round swells beyond its ends by its sagitta, under way·turn/8; a larger
  // one by less than its way.
  const float swell = kept_off + way * (size > kHalfRound_rad ? 1.0F : size * 0.125F);
  const bool passes =
      (lesser(q.at0, q.at1) - swell <= s.high) & (greater(q.at0, q.at1) + swell >= s.low);
  const float lowest_of_all = lesser(lesser(p.at0, p.at1), low) - kept_off;
  return {lesser(ends2, low * low + over * over), passes ? lowest_of_all : kFar};
}

template <bool kSeveral>
[[gnu::always_inline]] inline void pass_side(Arrays f, int from, Side s, Four ways, float kept_off,
                                             float* near, float* room) {
  const float passable = s.open ? -kFar : kFar;
  RUNTRUE_APART
  for (int i = from; i < from + kChunk; ++i) {
    const Facing across_it = facing(f, i, s.normal_x, s.normal_y, s.level);
    const Facing along_it = facing(f, i, -s.normal_y, s.normal_x, 0.0F);
    const float length = f.length[i], turn = f.turn[i], one_by_turn = f.one_by_turn[i];
    const auto of = [&](const Way& w) __attribute__((always_inline)) {
      return by_side(across_it, along_it, s, length, turn, one_by_turn, w, i, kept_off);
    };
    BySide least = of(ways.a);
    if constexpr (kSeveral) {
      const BySide b = of(ways.b), c = of(ways.c), d = of(ways.d);
      least.least2 = lesser(lesser(least.least2, b.least2), lesser(c.least2, d.least2));
      least.room = lesser(lesser(least.room, b.room), lesser(c.room, d.room));
    }
    near[i] = lesser(near[i], std::sqrt(least.least2));
    room[i] = lesser(room[i], greater(least.room, passable));
  }
}

// Least distance of one robot's point on its way from a place.
[[gnu::always_inline]] inline float least_from_place(Arrays f, int i, float x, float y, Way rider) {
  const float c0 = f.cos0[i], s0 = f.sin0[i], c1 = f.cos1[i], s1 = f.sin1[i];
  const float turn = f.turn[i], one_by_way = rider.one_by_way[i];
  const float own_ahead = f.length[i] - turn * rider.y, own_left = turn * rider.x;
  const float x0 = f.x0[i] - x + c0 * rider.x - s0 * rider.y;
  const float y0 = f.y0[i] - y + s0 * rider.x + c0 * rider.y;
  const float x1 = f.x1[i] - x + c1 * rider.x - s1 * rider.y;
  const float y1 = f.y1[i] - y + s1 * rider.x + c1 * rider.y;
  const float vx0 = c0 * own_ahead - s0 * own_left, vy0 = s0 * own_ahead + c0 * own_left;
  const float vx1 = c1 * own_ahead - s1 * own_left, vy1 = s1 * own_ahead + c1 * own_left;
  const float g0 = x0 * x0 + y0 * y0, g1 = x1 * x1 + y1 * y1;
  const float ends = std::sqrt(lesser(g0, g1));
  // Nearest in between where the way first leads nearer and last away: with R the radius and off
  // the start's offset from the place, | |centre − place| − |R| | = |2·off·n + k·off²| /
  // (sqrt(1 + 2k·off·n + k²·off²) + 1).
  const bool passes = ((x0 * vx0 + y0 * vy0 < 0.0F) & (x1 * vx1 + y1 * vy1 > 0.0F)) |
                      (size_of(turn) > kHalfRound_rad);
  const float k = turn * one_by_way;
  const float across = (y0 * vx0 - x0 * vy0) * one_by_way;
  const float under = greater(1.0F + 2.0F * k * across + k * k * g0, 0.0F);
  const float between = size_of(2.0F * across + k * g0) / (std::sqrt(under) + 1.0F);
  return (passes & (one_by_way > 0.0F)) ? lesser(between, ends) : ends;
}

[[gnu::always_inline]] inline Way way_of(const Rider& rider) {
  return {rider.x, rider.y, rider.way.data(), rider.one_by_way.data()};
}

}  // namespace

Side side_between(Vec a, Vec b, Vec origin) {
  const Vec along = (b - a) * (1.0 / internal::length(b - a));
  const Vec normal{-along.y, along.x};
  Side side;
  side.normal_x = static_cast<float>(normal.x);
  side.normal_y = static_cast<float>(normal.y);
  side.level = static_cast<float>(dot(normal, a - origin));
  // The tangent of a normal (nx, ny) is (-ny, nx), which runs from b to a.
  side.low = static_cast<float>(-dot(along, b - origin));
  side.high = static_cast<float>(-dot(along, a - origin));
  return side;
}

RUNTRUE_WIDE void scatter_arcs(const LaneArcs& base, const Lane& far, const Lane& bent,
                               double ratio, double bend_per_mm, double share, Lanes& lanes) {
  const double *const base_length = base.length.data(), *const base_turn = base.turn.data(),
                      *const z_far = far.data(), *const z_bent = bent.data();
  double* const length = lanes.length.data();
  double* const turn = lanes.turn.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const double scale = (1.0 + ratio * z_far[i]) * share;
    length[i] = base_length[i] * scale;
    turn[i] = base_turn[i] * scale + bend_per_mm * z_bent[i] * length[i];
  }
}

RUNTRUE_WIDE void advance(Lanes& l) {
  double* const x1 = l.x1.data();
  double* const y1 = l.y1.data();
  double* const cos1 = l.cos1.data();
  double* const sin1 = l.sin1.data();
  const double *const x0 = l.x0.data(), *const y0 = l.y0.data(), *const cos0 = l.cos0.data(),
                      *const sin0 = l.sin0.data(), *const length = l.length.data(),
                      *const turn = l.turn.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const double half = turn[i] * 0.5;
    const SinCos h = sin_cos(half);
    const bool none = size_of(half) < 1e-8;
    const double chord = length[i] * (none ? 1.0 : h.sin / (none ? 1.0 : half));
    // Heading half-way, which is the chord's direction, and at the end.
    const double c = cos0[i] * h.cos - sin0[i] * h.sin;
    const double s = sin0[i] * h.cos + cos0[i] * h.sin;
    x1[i] = x0[i] + chord * c;
    y1[i] = y0[i] + chord * s;
    cos1[i] = c * h.cos - s * h.sin;
    sin1[i] = s * h.cos + c * h.sin;
  }
}

RUNTRUE_WIDE void gather(const Lanes& lanes, Vec origin, double extent, Flock& flock) {
  const auto narrow =
      [](const Lane& from, double less, FloatLane& to) __attribute__((always_inline)) {
    const double* const source = from.data();
    float* const target = to.data();
    RUNTRUE_APART
    for (int i = 0; i < kLanes; ++i) target[i] = static_cast<float>(source[i] - less);
  };
  narrow(lanes.x0, origin.x, flock.x0);
  narrow(lanes.y0, origin.y, flock.y0);
  narrow(lanes.cos0, 0.0, flock.cos0);
  narrow(lanes.sin0, 0.0, flock.sin0);
  narrow(lanes.length, 0.0, flock.length);
  narrow(lanes.turn, 0.0, flock.turn);
  narrow(lanes.x1, origin.x, flock.x1);
  narrow(lanes.y1, origin.y, flock.y1);
  narrow(lanes.cos1, 0.0, flock.cos1);
  narrow(lanes.sin1, 0.0, flock.sin1);
  const float* const turn = flock.turn.data();
  const float* const length = flock.length.data();
  float* const one_by_turn = flock.one_by_turn.data();
  float* const swell = flock.swell.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const float size = size_of(turn[i]);
    const bool slight = size < kSlightTurn_rad;
    one_by_turn[i] = slight ? 0.0F : 1.0F / (slight ? 1.0F : size);
    swell[i] = size_of(length[i]) * (size > kHalfRound_rad ? 1.0F : size * 0.125F);
  }
  // Each bound is a sum of up to eight products of places; a rounding is 6e-8 of the largest.
  flock.good_to = static_cast<float>(1e-3 + 2e-6 * extent);
}

RUNTRUE_WIDE void measure_way(const Flock& flock, Rider& rider) {
  const Arrays f = arrays_of(flock);
  const float px = rider.x, py = rider.y;
  float* const way = rider.way.data();
  float* const one_by_way = rider.one_by_way.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const float ahead = f.length[i] - f.turn[i] * py, left = f.turn[i] * px;
    const float size = std::sqrt(ahead * ahead + left * left);
    way[i] = size;
    one_by_way[i] = size > 0.0F ? 1.0F / (size > 0.0F ? size : 1.0F) : 0.0F;
  }
}

RUNTRUE_WIDE void keep_least_from_sides(const Flock& flock, std::span<const Side> sides,
                                        std::span<const Rider> riders, float reach, float kept_off,
                                        FloatLane& near, FloatLane& room) {
  const Arrays f = arrays_of(flock);
  float* const nearest = near.data();
  float* const left_over = room.data();
  for (int from = 0; from < kLanes; from += kChunk) {
    float farthest = most_of(nearest, from);
    for (const Side& s : sides) {
      if (s.from_flock - reach - flock.good_to > greater(farthest, 0.0F)) break;
      const float touch = greater(reach, kept_off);
      const bool nearer = s.whole_line
                              ? may_come_nearer<true>(f, from, s, touch, flock.good_to, nearest)
                              : may_come_nearer<false>(f, from, s, touch, flock.good_to, nearest);
      if (!nearer) continue;
      for (std::size_t r = 0; r < riders.size(); r += 4) {
        // Fewer than four: the last one again, which changes nothing.
        const auto way = [&](std::size_t j) {
          return way_of(riders[std::min(r + j, riders.size() - 1)]);
        };
        const Four ways{way(0), way(1), way(2), way(3)};
        const bool several = riders.size() - r > 1;
        if (s.whole_line) {
          several ? pass_line<true>(f, from, s, ways, kept_off, nearest, left_over)
                  : pass_line<false>(f, from, s, ways, kept_off, nearest, left_over);
        } else {
          several ? pass_side<true>(f, from, s, ways, kept_off, nearest, left_over)
                  : pass_side<false>(f, from, s, ways, kept_off, nearest, left_over);
        }
      }
      farthest = most_of(nearest, from);
    }
  }
}

RUNTRUE_WIDE void keep_least_from_place(const Flock& flock, float x, float y,
                                        std::span<const Rider> riders, float reach,
                                        FloatLane& near) {
  const Arrays f = arrays_of(flock);
  float* const nearest = near.data();
  for (int from = 0; from < kLanes; from += kChunk) {
    // No place of a way is nearer than half of what its ends' distances exceed the way by.
    int any = 0;
    RUNTRUE_APART
    for (int i = from; i < from + kChunk; ++i) {
      const float x0 = f.x0[i] - x, y0 = f.y0[i] - y, x1 = f.x1[i] - x, y1 = f.y1[i] - y;
      const float ends = std::sqrt(x0 * x0 + y0 * y0) + std::sqrt(x1 * x1 + y1 * y1);
      const float gap = 0.5F * (ends - size_of(f.length[i])) - reach - flock.good_to;
      any |= gap < nearest[i] ? 1 : 0;
    }
    if (any == 0) continue;
    for (const Rider& rider : riders) {
      const Way way = way_of(rider);
      RUNTRUE_APART
      for (int i = from; i < from + kChunk; ++i) {
        nearest[i] = lesser(nearest[i], least_from_place(f, i, x, y, way));
      }
    }
  }
}

RUNTRUE_WIDE void keep_most_from_line(const Flock& flock, const Side& side, const Rider& origin,
                                      FloatLane& apart) {
  const Arrays f = arrays_of(flock);
  const float* const way = origin.way.data();
  float* const most = apart.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) {
    const Facing facing_it = facing(f, i, side.normal_x, side.normal_y, side.level);
    const Passing p = passing(facing_it, f.length[i], f.turn[i], 0.0F, 0.0F);
    most[i] = greater(most[i], lowest(p, f.turn[i], f.one_by_turn[i], way[i]));
  }
}

RUNTRUE_WIDE void keep_least(const FloatLane& from, float reach, FloatLane& room) {
  const float* const source = from.data();
  float* const target = room.data();
  RUNTRUE_APART
  for (int i = 0; i < kLanes; ++i) target[i] = lesser(target[i], source[i] - reach);
}

RUNTRUE_WIDE Bounds bounds_of(const Flock& flock, const FloatLane& near) {
  constexpr int kStrands = 16;
  const Arrays f = arrays_of(flock);
  const float* const nearest = near.data();
  float low_x[kStrands], low_y[kStrands], high_x[kStrands], high_y[kStrands];
  for (int j = 0; j < kStrands; ++j) {
    low_x[j] = low_y[j] = kFar;
    high_x[j] = high_y[j] = -kFar;
  }
  for (int i = 0; i < kLanes; i += kStrands) {
    RUNTRUE_APART
    for (int j = 0; j < kStrands; ++j) {
      // What doesn't count is moved out of the way.
      const float away = nearest[i + j] > -kFar ? -kFar : kFar, swell = f.swell[i + j];
      low_x[j] = lesser(low_x[j], greater(lesser(f.x0[i + j], f.x1[i + j]) - swell, away));
      low_y[j] = lesser(low_y[j], greater(lesser(f.y0[i + j], f.y1[i + j]) - swell, away));
      high_x[j] = greater(high_x[j], lesser(greater(f.x0[i + j], f.x1[i + j]) + swell, -away));
      high_y[j] = greater(high_y[j], lesser(greater(f.y0[i + j], f.y1[i + j]) + swell, -away));
    }
  }
  return {*std::min_element(low_x, low_x + kStrands), *std::min_element(low_y, low_y + kStrands),
          *std::max_element(high_x, high_x + kStrands),
          *std::max_element(high_y, high_y + kStrands)};
}

}  // namespace runtrue::internal
