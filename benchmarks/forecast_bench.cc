// The forecast's speed: 10,000 samples of 40 moves on a table of 16 sides with 4 obstacles, on one
// core, with the clearance to the edge in every move; beside it the plain way of doing the same,
// written here: one sample after the other, walked in steps of 5 mm.
#include <fmt/format.h>

#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <string>
#include <vector>

#include "forecast/forecast.h"

namespace runtrue {
namespace {

Point at_mm(double x, double y) { return {Length::from_mm(x), Length::from_mm(y)}; }

struct Case {
  std::string name;
  Robot robot = default_robot("Dunlin", Length::from_mm(140));
  DriveSettings settings;
  std::vector<CompiledMove> moves;
  Table table;
  Pose start;
  ForecastOptions options;
};

void set(DriveSettings& settings, Constant c, double mean, double sd) {
  const auto i = static_cast<std::size_t>(c);
  settings.mean[i] = mean;
  settings.covariance[i * kConstantCount + i] = sd * sd;
}

DriveSettings usual_settings() {
  DriveSettings s;
  set(s, Constant::kMismatchForward, 0.002, 0.001);
  set(s, Constant::kLogSpeedGain, std::log(1.2), 0.01);
  set(s, Constant::kDeadBand, 40, 1.5);
  set(s, Constant::kLostTimeStraight, 0.05, 0.01);
  set(s, Constant::kLogTurnGainLeft, std::log(0.018), 0.01);
  set(s, Constant::kLogTurnGainRight, std::log(0.018), 0.01);
  set(s, Constant::kLostTimeTurn, 0.05, 0.01);
  s.scatter = {1e-5, 0.01, 0.02};
  return s;
}

// Sides of a long table with its corners cut: 16 of them.
Table sixteen_sided() {
  Table table;
  for (int i = 0; i < 16; ++i) {
    const double a = (i + 0.5) * 2.0 * 3.14159265358979 / 16;
    table.edge.push_back(at_mm(900 + 900 * std::cos(a), 500 + 500 * std::sin(a)));
  }
  return table;
}

// The same number of sides, with two bays cut into it.
Table with_bays() {
  Table table;
  table.edge = {at_mm(0, 0),       at_mm(600, 0),     at_mm(650, 120),  at_mm(900, 120),
                at_mm(950, 0),     at_mm(1700, 0),    at_mm(1800, 100), at_mm(1800, 900),
                at_mm(1700, 1000), at_mm(1250, 1000), at_mm(1200, 880), at_mm(950, 880),
                at_mm(900, 1000),  at_mm(100, 1000),  at_mm(0, 900),    at_mm(0, 500)};
  return table;
}

Case the_case(std::string name, Table table, bool all_different) {
  Case c;
  c.name = std::move(name);
  c.settings = usual_settings();
  c.table = std::move(table);
  c.table.obstacles = {
      {"mug", at_mm(900, 500), Length::from_mm(45), {}},
      {"tin", at_mm(1150, 480), Length::from_mm(50), {}},
      {"box", {}, {}, {at_mm(860, 250), at_mm(960, 250), at_mm(960, 320), at_mm(860, 320)}},
      {"book", {}, {}, {at_mm(1300, 420), at_mm(1400, 440), at_mm(1380, 560), at_mm(1280, 540)}}};
  c.start = {Length::from_mm(420), Length::from_mm(330), Angle()};
  for (int i = 0; i < 40; ++i) {
    // Squares of 300 mm; a forward level of 128 drives 105.6 mm/s, a turn on the spot is 90 deg.
    const int ms = all_different ? i : 0;
    if (i % 2 == 0) {
      c.moves.push_back({"drive 30 cm", i + 1, {{128}, {128}, 2890 + ms}, ""});
    } else {
      c.moves.push_back({"turn left 90 deg", i + 1, {{-128}, {128}, 1042 + ms / 4}, ""});
    }
  }
  return c;
}

double distance(double x, double y, const Point& a, const Point& b) {
  const double dx = (b.x - a.x).mm(), dy = (b.y - a.y).mm();
  const double px = x - a.x.mm(), py = y - a.y.mm();
  const double t = std::clamp((px * dx + py * dy) / (dx * dx + dy * dy), 0.0, 1.0);
  return std::hypot(px - t * dx, py - t * dy);
}

bool inside(const std::vector<Point>& edge, double x, double y) {
  bool in = false;
  for (std::size_t i = 0, j = edge.size() - 1; i < edge.size(); j = i++) {
    const double ay = edge[i].y.mm(), by = edge[j].y.mm();
    if ((ay > y) == (by > y)) continue;
    const double ax = edge[i].x.mm(), bx = edge[j].x.mm();
    if (x < ax + (bx - ax) * (y - ay) / (by - ay)) in = !in;
  }
  return in;
}

// What a step of the plain way finds: the least distance of a contact from the edge, or a mishap.
struct Look {
  double clearance_mm = 1e9;
  bool falls = false, bumps = false;
};

Look look(const Case& c, const Pose& pose, const std::vector<Point>& contacts) {
  Look found;
  for (const Point& contact : contacts) {
    const Point p = point_in(pose, contact);
    for (std::size_t i = 0; i < c.table.edge.size(); ++i) {
      found.clearance_mm =
          std::min(found.clearance_mm, distance(p.x.mm(), p.y.mm(), c.table.edge[i],
                                                c.table.edge[(i + 1) % c.table.edge.size()]));
    }
    found.falls = found.falls || !inside(c.table.edge, p.x.mm(), p.y.mm());
  }
  const double reach = c.robot.outline.circle_radius.mm();
  for (const Obstacle& o : c.table.obstacles) {
    if (o.centre) {
      const double gap = std::hypot((pose.x - o.centre->x).mm(), (pose.y - o.centre->y).mm());
      found.bumps = found.bumps || gap < reach + o.radius.mm();
    } else {
      for (std::size_t i = 0; i < o.polygon.size(); ++i) {
        found.bumps = found.bumps || distance(pose.x.mm(), pose.y.mm(), o.polygon[i],
                                              o.polygon[(i + 1) % o.polygon.size()]) < reach;
      }
    }
  }
  return found;
}

struct Plain {
  double falls = 0.0, bumps = 0.0;
  std::vector<double> clearance_mm;  // 5 % quantile per move
};

// The constants of these settings are independent of each other, which the plain way makes use of.
Plain plain_way(const Case& c, int samples) {
  constexpr double kStep_mm = 5.0;
  boost::random::mt19937_64 rng(c.options.seed);
  boost::random::normal_distribution<double> normal;
  std::vector<Point> contacts = c.robot.wheels;
  contacts.insert(contacts.end(), c.robot.castors.begin(), c.robot.castors.end());
  std::vector<std::vector<double>> clearances(c.moves.size());
  Plain result;
  for (int s = 0; s < samples; ++s) {
    ConstantVector constants = c.settings.mean;
    for (std::size_t i = 0; i < kConstantCount; ++i) {
      constants[i] += std::sqrt(c.settings.covariance[i * kConstantCount + i]) * normal(rng);
    }
    Pose pose = c.start;
    pose.x += c.options.start_sd * normal(rng);
    pose.y += c.options.start_sd * normal(rng);
    pose.heading += c.options.start_heading_sd * normal(rng);
    bool going = true;
    for (std::size_t m = 0; m < c.moves.size(); ++m) {
      Arc arc = arc_of(constants, c.robot, c.moves[m].command, c.settings.trim);
      if (m % 2 == 0) {
        arc.length = arc.length * (1.0 + c.settings.scatter.distance_ratio * normal(rng));
        arc.turn +=
            Angle::from_rad(c.settings.scatter.curvature_per_mm * normal(rng) * arc.length.mm());
      } else {
        arc.turn = arc.turn * (1.0 + c.settings.scatter.turn_ratio * normal(rng));
      }
      if (going) {
        const double way = arc.length.mm() + std::abs(arc.turn.rad()) * 70.0;
        const int steps = static_cast<int>(std::ceil(way / kStep_mm));
        Look least;
        for (int i = 0; i <= steps && going; ++i) {
          const Look now = look(
              c, compose(pose, pose_after(part_of(arc, i / double(std::max(steps, 1))))), contacts);
          least.clearance_mm = std::min(least.clearance_mm, now.clearance_mm);
          if (now.falls) result.falls += 1.0 / samples;
          if (now.bumps && !now.falls) result.bumps += 1.0 / samples;
          going = !now.falls && !now.bumps;
        }
        clearances[m].push_back(least.clearance_mm);
      }
      pose = compose(pose, pose_after(arc));
    }
  }
  for (auto& move : clearances) {
    const auto at = move.begin() + static_cast<std::ptrdiff_t>(move.size() / 20);
    std::nth_element(move.begin(), at, move.end());
    result.clearance_mm.push_back(*at);
  }
  return result;
}

// Of the processor, so that a busy machine doesn't count; everything here runs on one thread.
template <class Work>
double best_ms(int repeats, Work work) {
  double best = 1e300;
  for (int i = 0; i < repeats; ++i) {
    const std::clock_t start = std::clock();
    work();
    best = std::min(best, 1e3 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  return best;
}

void measure(const Case& c, int plain_samples) {
  Forecast forecast;
  Plain plain;
  const double ours = best_ms(20, [&] {
    auto f = forecast_moves(c.robot, c.settings, c.moves, c.table, c.start, c.options);
    if (!f) {
      fmt::print("{}\n", f.error().message);
      std::exit(1);
    }
    forecast = *std::move(f);
  });
  fmt::print("{}: {:.1f} ms", c.name, ours);
  if (plain_samples == 0) return fmt::print("\n");
  const double plainly =
      best_ms(2, [&] { plain = plain_way(c, plain_samples); }) * c.options.samples / plain_samples;
  fmt::print("; the plain way {:.0f} ms, {:.0f} times as long\n", plainly, plainly / ours);
  fmt::print(
      "  falls {:.3f} (plainly {:.3f}), bumps {:.3f} ({:.3f}), clearance in move 1 {:.1f} mm "
      "({:.1f}), in move 20 {:.1f} mm ({:.1f})\n",
      forecast.fall.mean, plain.falls, forecast.bump.mean, plain.bumps,
      forecast.moves[0].clearance.mm(), plain.clearance_mm[0], forecast.moves[19].clearance.mm(),
      plain.clearance_mm[19]);
}

void measure_safest_start(Case c) {
  c.moves.resize(20);
  SafeStart safest;
  const double ms = best_ms(3, [&] {
    const auto s = safest_start(c.robot, c.settings, c.moves, c.table, c.options);
    if (!s) std::exit(1);
    safest = *s;
  });
  fmt::print(
      "safest start for 20 moves, {}: {:.0f} ms; x {:.0f} mm, y {:.0f} mm, {:.0f} deg, goes "
      "wrong {:.4f}\n",
      c.name, ms, safest.start.x.mm(), safest.start.y.mm(), safest.start.heading.deg(),
      safest.mishap.mean);
}

}  // namespace
}  // namespace runtrue

// forecast_bench [SAMPLES]: of the plain way, whose time is scaled up; 0 leaves it out.
int main(int argc, char** argv) {
  using namespace runtrue;
  const int plain_samples = argc > 1 ? std::atoi(argv[1]) : 200;
  const Case round = the_case("16 sides, no bays", sixteen_sided(), false);
  const Case bays = the_case("16 sides with two bays", with_bays(), false);
  const Case different = the_case("16 sides with two bays, 40 different moves", with_bays(), true);
  for (const Case& c : {round, bays, different}) measure(c, plain_samples);
  measure_safest_start(round);
  measure_safest_start(bays);
}
