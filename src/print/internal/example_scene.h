// A made-up forecast and truing for the tests of the drawings: paths are exact arcs, chance is a
// fixed list of numbers.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "print/picture.h"

namespace runtrue::internal {

struct Scene {
  Robot robot = default_robot("Dunlin", Length::from_mm(140));
  Table table;
  std::vector<CompiledMove> moves;
  Pose start{Length::from_mm(250), Length::from_mm(180), Angle::from_deg(20)};
  Forecast forecast;

  [[nodiscard]] ForecastPicture picture() const {
    return {robot,
            Trim{-4},
            moves,
            table,
            start,
            forecast,
            "Dunlin falls about 1 time in 12 (5 to 14 %), first in move 5. Start it further from "
            "the edge.",
            "2026-11-25"};
  }
};

inline Point at_mm(double x, double y) { return {Length::from_mm(x), Length::from_mm(y)}; }

// Drives `rounds` times a square of `side_mm` that bends a little, on a trestle table with a mug
// and a box.
inline Scene square_scene(int rounds, double side_mm) {
  Scene scene;
  scene.table.name = "trestle";
  scene.table.edge = {at_mm(0, 0), at_mm(1520, 0), at_mm(1520, 760), at_mm(0, 760)};
  Obstacle mug;
  mug.name = "mug";
  mug.centre = at_mm(1180, 520);
  mug.radius = Length::from_mm(45);
  Obstacle box;
  box.name = "box";
  box.polygon = {at_mm(60, 600), at_mm(240, 600), at_mm(240, 700), at_mm(60, 700)};
  scene.table.obstacles = {mug, box};

  std::vector<Arc> arcs;
  for (int i = 0; i < rounds * 4; ++i) {
    scene.moves.push_back({"drive " + std::to_string(static_cast<int>(side_mm)) + " mm",
                           2,
                           {Level{128}, Level{128}, 1500},
                           ""});
    scene.moves.push_back({"turn left 90 deg", 3, {Level{-128}, Level{128}, 700}, ""});
    arcs.push_back({Length::from_mm(side_mm), Angle::from_deg(4)});
    arcs.push_back({Length(), Angle::from_deg(88)});
  }
  const auto path_with = [&](double bend_deg, double scale, std::vector<Pose>* ends) {
    std::vector<Pose> path{scene.start};
    Pose pose = scene.start;
    for (const Arc& arc : arcs) {
      const Arc bent{arc.length * scale, arc.turn + Angle::from_deg(bend_deg)};
      for (int part = 1; part <= 8; ++part)
        path.push_back(compose(pose, pose_after(part_of(bent, part / 8.0))));
      pose = path.back();
      if (ends != nullptr) ends->push_back(pose);
    }
    return path;
  };
  std::vector<Pose> ends;
  scene.forecast.nominal_path = path_with(0, 1, &ends);
  for (const Pose& end : ends) scene.forecast.moves.push_back({end, 0, 0, Length::from_mm(50)});
  for (int i = 0; i < 60; ++i) {
    scene.forecast.sample_paths.push_back(
        path_with(4.0 * std::sin(1.3 * i), 1.0 + 0.07 * std::cos(2.1 * i), nullptr));
  }
  const Pose end = ends.back();
  scene.forecast.nominal_end = end;
  for (int i = 0; i < 24; ++i) {
    const double a = i * 2 * 3.14159265358979 / 24;
    scene.forecast.region_95.push_back(
        {end.x + Length::from_mm(70 * std::cos(a)), end.y + Length::from_mm(45 * std::sin(a))});
  }
  scene.forecast.fall = {0.083, 0.05, 0.14};
  scene.forecast.samples = 10000;
  scene.forecast.seed = 1;
  scene.forecast.first_risky_move = RiskyMove{4, Mishap::kFalls, 0.08, at_mm(620, 760)};
  return scene;
}

struct TrueScene {
  Robot robot = default_robot("Dunlin", Length::from_mm(140));
  Truing truing;
  [[nodiscard]] TruingPicture picture() const {
    return {robot, truing, 10.0,
            "Dunlin runs straight within 10 mm in a metre at trim −4. Nothing to do.",
            "2026-11-25"};
  }
};

inline TrueScene true_scene() {
  TrueScene scene;
  Truing& t = scene.truing;
  const double slope = 8.4;
  for (int trim = -30; trim <= 30; ++trim) {
    const double mean = slope * (trim + 4) + 2;
    const double half = 5.0 + 0.02 * (trim + 4) * (trim + 4);
    t.curve.push_back({Trim{trim}, {mean, mean - half, mean + half}, 0.5});
  }
  t.best_trim = Trim{-4};
  t.drift_mm_per_m = {2.0, -3.0, 7.0};
  t.in_tolerance_probability = 0.972;
  t.verdict = Verdict::kInTolerance;
  t.reason = "At trim -4 the drift is within 10 mm/m with 97 % probability.";
  const auto run = [&](int row, int trim, double mean, bool doubtful) {
    t.run_drifts.push_back(
        {row, Trim{trim}, Level{128}, {mean, mean - 9, mean + 9}, 0.3, doubtful});
  };
  run(2, 0, 38, false);
  run(3, 8, 96, false);
  run(4, -4, -2, false);
  run(5, -4, 5, false);
  run(6, 0, -36, true);
  t.doubtful_runs.push_back(
      {6, "reads 36 mm to the right, 35 mm to the left expected; it fits if it was to the left"});
  return scene;
}

}  // namespace runtrue::internal
