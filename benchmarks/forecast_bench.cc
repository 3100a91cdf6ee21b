// The forecast's speed: 10,000 samples of 40 moves on a table of 16 sides with 4 obstacles, on one
// core and on two, with the clearance to the edge in every move. Beside it, in the same run: the
// plain way of doing the same, written here (one sample after the other, walked in steps of 5 mm);
// the same vectorised with numpy (benchmarks/forecast_reference.py; Debian's python3-numpy, left
// out where it isn't installed); and the time that the machine's arithmetic needs at the least.
#include <fmt/format.h>

#include <algorithm>
#include <boost/random/mersenne_twister.hpp>
#include <boost/random/normal_distribution.hpp>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <nlohmann/json.hpp>
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

// The case for the numpy reference, and its answer; null where there is no numpy.
nlohmann::json with_numpy(const Case& c) {
  using Json = nlohmann::json;
  const auto points = [](const std::vector<Point>& list) {
    Json all = Json::array();
    for (const Point& p : list) all.push_back({p.x.mm(), p.y.mm()});
    return all;
  };
  constexpr Constant kUsed[] = {Constant::kMismatchForward, Constant::kLogSpeedGain,
                                Constant::kDeadBand,        Constant::kLostTimeStraight,
                                Constant::kLogTurnGainLeft, Constant::kLostTimeTurn};
  Json job{{"samples", c.options.samples},
           {"seed", 1},
           {"repeats", 2},
           {"edge_mm", points(c.table.edge)},
           {"start", {c.start.x.mm(), c.start.y.mm(), c.start.heading.rad()}},
           {"start_sd_mm", c.options.start_sd.mm()},
           {"start_heading_sd_rad", c.options.start_heading_sd.rad()},
           {"distance_ratio", c.settings.scatter.distance_ratio},
           {"turn_ratio", c.settings.scatter.turn_ratio},
           {"curvature_per_mm", c.settings.scatter.curvature_per_mm},
           {"track_width_mm", c.robot.track_width.mm()},
           {"reach_mm", c.robot.outline.circle_radius.mm()}};
  for (const Constant constant : kUsed) {
    job["mean"].push_back(c.settings.of(constant));
    job["sd"].push_back(std::sqrt(c.settings.variance(constant, constant)));
  }
  std::vector<Point> contacts = c.robot.wheels;
  contacts.insert(contacts.end(), c.robot.castors.begin(), c.robot.castors.end());
  job["contacts"] = points(contacts);
  for (const CompiledMove& m : c.moves) {
    job["moves"].push_back(
        {m.command.left.value, m.command.right.value, m.command.milliseconds / 1e3});
  }
  for (const Obstacle& o : c.table.obstacles) {
    if (o.centre) {
      job["obstacles"].push_back(
          {{"centre", {o.centre->x.mm(), o.centre->y.mm()}}, {"radius", o.radius.mm()}});
    } else {
      job["obstacles"].push_back({{"polygon", points(o.polygon)}});
    }
  }
  const std::string asked = std::tmpnam(nullptr), answered = asked + ".out";
  std::ofstream(asked) << job.dump();
  const std::string command = "OMP_NUM_THREADS=1 /usr/bin/python3 " RUNTRUE_SOURCE
                              "/benchmarks/forecast_reference.py < " +
                              asked + " > " + answered + " 2> /dev/null";
  const int status = std::system(command.c_str());
  Json answer;
  if (status == 0) answer = Json::parse(std::ifstream(answered));
  std::remove(asked.c_str());
  std::remove(answered.c_str());
  return answer;
}

// Arithmetic of single precision, in 1e9 operations a second: independent sums and products over
// arrays that fit the nearest cache, as wide as this machine has them and with nothing else to do.
__attribute__((target_clones("arch=x86-64-v4", "arch=x86-64-v3", "default"))) double most_ops(
    const float* in, float* out, int rounds) {
  constexpr int kFloats = 1024;
  for (int r = 0; r < rounds; ++r) {
#pragma GCC ivdep
    for (int i = 0; i < kFloats; ++i) {
      const float x = in[i];
      float a = out[i], b = a + x, c = a - x, d = b + c;
      for (int k = 0; k < 8; ++k) {
        a = a * x + b;
        b = b * x + c;
        c = c * x + d;
        d = d * x + a;
      }
      out[i] = (a + b) + (c + d);
    }
  }
  return double{kFloats} * rounds * (3 + 8 * 8 + 3);
}

double billion_ops_per_s() {
  std::vector<float> in(1024, 0.5F), out(1024, 0.1F);
  double ops = 0.0;
  const double ms = best_ms(5, [&] { ops = most_ops(in.data(), out.data(), 20'000); });
  return ops / ms / 1e6;
}

// Operations that one sample's move can't do without, however it is written, as counted in
// src/forecast/internal: two draws 120 (double precision, so counted twice), the pose after an arc
// 70 (twice), and against each of the sides that are near enough the signed distances, rates and
// lowest places of four contacts, 140; that many sides are looked at.
constexpr double kOpsAlways = 2 * 120 + 2 * 70, kOpsPerSide = 140, kSidesLookedAt = 2;

void measure(const Case& c, int plain_samples, double peak) {
  Forecast forecast;
  Plain plain;
  const auto run = [&] {
    auto f = forecast_moves(c.robot, c.settings, c.moves, c.table, c.start, c.options);
    if (!f) {
      fmt::print("{}\n", f.error().message);
      std::exit(1);
    }
    forecast = *std::move(f);
  };
  const double ours = best_ms(20, run);
  fmt::print("{}: {:.1f} ms\n", c.name, ours);
  if (plain_samples == 0) return;
  const double moves = static_cast<double>(c.options.samples) * static_cast<double>(c.moves.size());
  const double limit_ms = moves * (kOpsAlways + kOpsPerSide * kSidesLookedAt) / peak / 1e6;
  fmt::print("  arithmetic alone: {:.1f} ms, {:.0f} % of that\n", limit_ms, 100 * limit_ms / ours);
  const auto numpy = with_numpy(c);
  if (!numpy.is_null()) {
    const double ms = numpy["ms"];
    fmt::print("  numpy {}: {:.0f} ms, {:.0f} times as long; falls {:.3f}, bumps {:.3f}\n",
               numpy["numpy"].get<std::string>(), ms, ms / ours, numpy["falls"].get<double>(),
               numpy["bumps"].get<double>());
  }
  const double plainly =
      best_ms(2, [&] { plain = plain_way(c, plain_samples); }) * c.options.samples / plain_samples;
  fmt::print("  the plain way {:.0f} ms, {:.0f} times as long\n", plainly, plainly / ours);
  fmt::print(
      "  falls {:.3f} (plainly {:.3f}), bumps {:.3f} ({:.3f}), clearance in move 1 {:.1f} mm "
      "({:.1f}), in move 20 {:.1f} mm ({:.1f})\n",
      forecast.fall.mean, plain.falls, forecast.bump.mean, plain.bumps,
      forecast.moves[0].clearance.mm(), plain.clearance_mm[0], forecast.moves[19].clearance.mm(),
      plain.clearance_mm[19]);
}

// By the clock, of a hundred thousand samples, so that starting a thread counts little; another
// program on the second core shows here.
void measure_threads(Case c) {
  c.options.samples = 100'000;
  double ms[2] = {1e300, 1e300};
  for (int repeat = 0; repeat < 10; ++repeat) {
    for (const int threads : {1, 2}) {
      c.options.threads = threads;
      const auto begun = std::chrono::steady_clock::now();
      const auto f = forecast_moves(c.robot, c.settings, c.moves, c.table, c.start, c.options);
      const std::chrono::duration<double, std::milli> took =
          std::chrono::steady_clock::now() - begun;
      if (f) ms[threads - 1] = std::min(ms[threads - 1], took.count());
    }
  }
  fmt::print("100,000 samples, {}: one thread {:.0f} ms, two {:.0f} ms, {:.2f} times as fast\n",
             c.name, ms[0], ms[1], ms[0] / ms[1]);
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

// forecast_bench [SAMPLES]: of the plain way, whose time is scaled up; 0 leaves out what we compare
// with.
int main(int argc, char** argv) {
  using namespace runtrue;
  const int plain_samples = argc > 1 ? std::atoi(argv[1]) : 200;
  const Case round = the_case("16 sides, no bays", sixteen_sided(), false);
  const Case bays = the_case("16 sides with two bays", with_bays(), false);
  const Case different = the_case("16 sides with two bays, 40 different moves", with_bays(), true);
  const double peak = billion_ops_per_s();
  fmt::print("sums and products in single precision: {:.0f} thousand million a second\n", peak);
  for (const Case& c : {round, bays, different}) measure(c, plain_samples, peak);
  measure_threads(round);
  measure_safest_start(round);
  measure_safest_start(bays);
}
