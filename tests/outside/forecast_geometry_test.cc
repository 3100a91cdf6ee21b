// Falls, containment and clearance against the geometry library GEOS and against published and
// worked values of the geometry at a table's edge.
#include <geos_c.h>
#include <gtest/gtest.h>

#include <boost/random/mersenne_twister.hpp>
#include <boost/random/uniform_01.hpp>
#include <cmath>
#include <functional>
#include <memory>
#include <numbers>
#include <vector>

#include "forecast/forecast.h"

namespace runtrue {
namespace {

Point at_mm(double x, double y) { return {Length::from_mm(x), Length::from_mm(y)}; }

// At level 120: 100 mm/s, nothing lost, bent by `curvature_per_mm`; nothing in doubt.
DriveSettings sure_settings(const Robot& robot, double curvature_per_mm) {
  DriveSettings settings;
  const auto set = [&](Constant c, double value) {
    settings.mean[static_cast<std::size_t>(c)] = value;
  };
  set(Constant::kDeadBand, 20.0);
  set(Constant::kMismatchForward, curvature_per_mm * robot.track_width.mm());
  return settings;
}

ForecastOptions one_sure_sample() {
  ForecastOptions options;
  options.samples = 1;
  options.start_sd = Length();
  options.start_heading_sd = Angle();
  return options;
}

// A robot that stands on one point, and bumps into nothing.
Robot point_robot() {
  Robot robot = default_robot("Ruff", Length::from_mm(100));
  robot.wheels = {at_mm(0, 0), at_mm(0, 0)};
  robot.castors.clear();
  robot.outline.circle_radius = Length::from_mm(1);
  return robot;
}

CompiledMove drive_mm(double mm) {
  return {"drive", 1, {{120}, {120}, static_cast<int>(std::lround(mm * 10))}, ""};
}

// One thread's GEOS; geometries are handed back when they go out of scope.
class Geos {
 public:
  using Geometry = std::unique_ptr<GEOSGeometry, std::function<void(GEOSGeometry*)>>;
  Geos() : context_(GEOS_init_r()) {}
  ~Geos() { GEOS_finish_r(context_); }
  Geos(const Geos&) = delete;
  Geos& operator=(const Geos&) = delete;

  Geometry own(GEOSGeometry* g) {
    return {g, [context = context_](GEOSGeometry* p) { GEOSGeom_destroy_r(context, p); }};
  }
  Geometry polygon(const std::vector<Point>& corners) {
    return own(GEOSGeom_createPolygon_r(
        context_, GEOSGeom_createLinearRing_r(context_, sequence(corners, true)), nullptr, 0));
  }
  Geometry line(const std::vector<Point>& points) {
    return own(GEOSGeom_createLineString_r(context_, sequence(points, false)));
  }
  Geometry point(const Point& p) {
    return own(GEOSGeom_createPointFromXY_r(context_, p.x.mm(), p.y.mm()));
  }
  Geometry both(const Geometry& a, const Geometry& b) {
    return own(GEOSUnion_r(context_, a.get(), b.get()));
  }
  Geometry without(const Geometry& a, const Geometry& b) {
    return own(GEOSDifference_r(context_, a.get(), b.get()));
  }
  double distance_to_whole_border(const Geometry& area, const Geometry& g) {
    double distance = -1.0;
    const Geometry border = own(GEOSBoundary_r(context_, area.get()));
    GEOSDistance_r(context_, border.get(), g.get(), &distance);
    return distance;
  }
  bool contains(const Geometry& a, const Geometry& b) {
    return GEOSContains_r(context_, a.get(), b.get()) == 1;
  }
  double distance_to_border(const Geometry& polygon, const Geometry& g) {
    double distance = -1.0;
    GEOSDistance_r(context_, GEOSGetExteriorRing_r(context_, polygon.get()), g.get(), &distance);
    return distance;
  }

 private:
  GEOSCoordSequence* sequence(const std::vector<Point>& points, bool closed) {
    const auto n = static_cast<unsigned>(points.size());
    GEOSCoordSequence* s = GEOSCoordSeq_create_r(context_, n + (closed ? 1 : 0), 2);
    for (unsigned i = 0; i < n + (closed ? 1 : 0); ++i) {
      GEOSCoordSeq_setXY_r(context_, s, i, points[i % n].x.mm(), points[i % n].y.mm());
    }
    return s;
  }
  GEOSContextHandle_t context_;
};

class Dice {
 public:
  double between(double low, double high) {
    return low + (high - low) * boost::random::uniform_01<double>()(rng_);
  }

 private:
  boost::random::mt19937_64 rng_{20261125};
};

// A star about (500, 500): simple, and with as many inward corners as outward ones.
Table random_table(Dice& dice) {
  Table table;
  const int corners = static_cast<int>(dice.between(3, 24));
  for (int i = 0; i < corners; ++i) {
    const double a = 2 * std::numbers::pi * (i + dice.between(0.1, 0.9)) / corners;
    const double r = dice.between(150, 600);
    table.edge.push_back(at_mm(500 + r * std::cos(a), 500 + r * std::sin(a)));
  }
  return table;
}

TEST(OutsideGeometry, AStartIsOnTheTable_WhereGeosSaysSo) {
  Dice dice;
  Geos geos;
  const Robot robot = point_robot();
  int on = 0, compared = 0;
  for (int i = 0; i < 400; ++i) {
    const Table table = random_table(dice);
    if (!check_table(table)) continue;
    const auto polygon = geos.polygon(table.edge);
    for (int j = 0; j < 10; ++j) {
      const Pose start{Length::from_mm(dice.between(0, 1000)),
                       Length::from_mm(dice.between(0, 1000)), Angle()};
      const bool ours =
          forecast_moves(robot, sure_settings(robot, 0), {}, table, start, one_sure_sample())
              .has_value();
      ASSERT_EQ(ours, geos.contains(polygon, geos.point({start.x, start.y})));
      on += ours;
      ++compared;
    }
  }
  EXPECT_GT(compared, 3000);
  EXPECT_GT(on, compared / 10);
  EXPECT_LT(on, compared);
}

// A bent drive, for GEOS a line of 2000 pieces: its chords lie at most L²·k/(8·2000²) < 1e-4 mm
// off.
TEST(OutsideGeometry, FallsAndClearance_AreThoseGeosFindsAlongTheWay) {
  Dice dice;
  Geos geos;
  const Robot robot = point_robot();
  int falls = 0, stays = 0;
  for (int i = 0; i < 1500; ++i) {
    const Table table = random_table(dice);
    if (!check_table(table)) continue;
    const double way_mm = std::round(dice.between(50, 900));
    const double curvature = dice.between(-0.003, 0.003);
    const Pose start{Length::from_mm(dice.between(350, 650)),
                     Length::from_mm(dice.between(350, 650)),
                     Angle::from_deg(dice.between(-180, 180))};
    const auto f = forecast_moves(robot, sure_settings(robot, curvature), {drive_mm(way_mm)}, table,
                                  start, one_sure_sample());
    if (!f) continue;  // a start off the table
    std::vector<Point> way;
    for (int k = 0; k <= 2000; ++k) {
      const Arc arc{Length::from_mm(way_mm * k / 2000.0),
                    Angle::from_rad(way_mm * curvature * k / 2000.0)};
      const Pose p = compose(start, pose_after(arc));
      way.push_back({p.x, p.y});
    }
    const auto polygon = geos.polygon(table.edge);
    const auto line = geos.line(way);
    const double apart_mm = geos.distance_to_border(polygon, line);
    if (apart_mm > 0.0 && apart_mm < 1e-3) continue;  // a graze, within the chords' error
    const bool leaves = !geos.contains(polygon, line);
    ASSERT_EQ(f->fall.mean == 1.0, leaves) << "table " << i;
    if (!leaves) {
      ++stays;
      // Half the step in which clearances are counted: 0.2 mm at 1 mm, growing as the root.
      ASSERT_NEAR(f->moves[0].clearance.mm(), apart_mm, 0.1 * std::sqrt(apart_mm) * 2 + 0.02);
      continue;
    }
    ++falls;
    // Where it falls: on the border, and GEOS has the way up to there on the table.
    const Point where = f->first_risky_move->where;
    ASSERT_LT(geos.distance_to_border(polygon, geos.point(where)), 1e-6);
    std::vector<Point> before;
    for (const Point& p : way) {
      before.push_back(p);
      if (std::hypot((p.x - where.x).mm(), (p.y - where.y).mm()) < way_mm / 2000.0) break;
    }
    before.pop_back();
    if (before.size() >= 2) {
      ASSERT_TRUE(geos.contains(polygon, geos.line(before)));
    }
  }
  EXPECT_GT(falls, 200);
  EXPECT_GT(stays, 200);
}

// Two or three tops that overlap or stand against each other, one of them often with a hole.
struct JoinedTable {
  Table table;
  Geos::Geometry area;
};

JoinedTable random_joined_table(Dice& dice, Geos& geos) {
  const auto block = [&](double x, double y, double w, double d) {
    return std::vector<Point>{at_mm(x, y), at_mm(x + w, y), at_mm(x + w, y + d), at_mm(x, y + d)};
  };
  Table table;
  table.edge = block(0, 0, 600, 500);
  table.more_edges.push_back(
      block(dice.between(0, 1) < 0.5 ? 600 : 500, dice.between(-200, 300), 300, 300));
  if (dice.between(0, 1) < 0.5) table.more_edges.push_back(random_table(dice).edge);
  const double x = dice.between(50, 300), y = dice.between(50, 300);
  if (dice.between(0, 1) < 0.6) {
    table.holes.push_back({"hole", {at_mm(x, y), at_mm(x + 90, y + 20), at_mm(x + 40, y + 110)}});
  }
  auto area = geos.polygon(table.edge);
  for (const auto& more : table.more_edges) area = geos.both(area, geos.polygon(more));
  for (const Hole& hole : table.holes) area = geos.without(area, geos.polygon(hole.polygon));
  return {table, std::move(area)};
}

TEST(OutsideGeometry, JoinedTopsWithHoles_AreWhatGeosMakesOfThem) {
  Dice dice;
  Geos geos;
  const Robot robot = point_robot();
  int falls = 0, stays = 0;
  for (int i = 0; i < 700; ++i) {
    const JoinedTable joined = random_joined_table(dice, geos);
    if (!check_table(joined.table)) continue;
    const double way_mm = std::round(dice.between(20, 500));
    const double curvature = dice.between(-0.003, 0.003);
    const Pose start{Length::from_mm(dice.between(0, 900)),
                     Length::from_mm(dice.between(-100, 600)),
                     Angle::from_deg(dice.between(-180, 180))};
    const auto f = forecast_moves(robot, sure_settings(robot, curvature), {drive_mm(way_mm)},
                                  joined.table, start, one_sure_sample());
    ASSERT_EQ(f.has_value(), geos.contains(joined.area, geos.point({start.x, start.y}))) << i;
    if (!f) continue;
    std::vector<Point> way;
    for (int k = 0; k <= 1000; ++k) {
      const Pose p = compose(start, pose_after({Length::from_mm(way_mm * k / 1000.0),
                                                Angle::from_rad(way_mm * curvature * k / 1000.0)}));
      way.push_back({p.x, p.y});
    }
    // Chords lie at most L²·k/(8·1000²) = 1e-4 mm off.
    const auto line = geos.line(way);
    const double apart_mm = geos.distance_to_whole_border(joined.area, line);
    if (apart_mm > 0.0 && apart_mm < 1e-3) continue;
    const bool leaves = !geos.contains(joined.area, line);
    ASSERT_EQ(f->fall.mean == 1.0, leaves) << i;
    if (!leaves) {
      ASSERT_NEAR(f->moves[0].clearance.mm(), apart_mm, 0.1 * std::sqrt(apart_mm) * 2 + 0.02);
    }
    ++(leaves ? falls : stays);
  }
  EXPECT_GT(falls, 100);
  EXPECT_GT(stays, 60);
}

// Three contacts carry the robot; one of them off the table tips it [Corr22]: it falls with its
// first contact, not with its middle. Distance of the axle's middle from a straight edge when
// contact c crosses, heading at ψ to the edge's normal: c_x·cos ψ + c_y·sin ψ. Worked values for a
// track of 100 mm and a castor 60 mm ahead, ψ = 0, 30, 60, 90 degrees (computed independently):
// left wheel 0, 25.000, 43.301, 50.000; castor 60, 51.962, 30, 0.
TEST(OutsideGeometry, TheAxleStandsThisFarFromTheEdge_WhenTheFirstContactCrosses) {
  Robot robot = default_robot("Snipe", Length::from_mm(100));
  robot.castors = {at_mm(60, 0)};
  Table table;
  table.edge = {at_mm(0, 0), at_mm(5000, 0), at_mm(5000, 1000), at_mm(0, 1000)};
  const struct {
    double psi_deg, wheel_mm, castor_mm;
  } worked[] = {{0, 0.0, 60.0}, {30, 25.0, 51.962}, {60, 43.301, 30.0}};
  for (const auto& w : worked) {
    // ψ to the right of the normal to the far edge y = 1000, so that the left wheel leads.
    const Pose start{Length::from_mm(2000), Length::from_mm(500), Angle::from_deg(90 - w.psi_deg)};
    const auto f = forecast_moves(robot, sure_settings(robot, 0), {drive_mm(1500)}, table, start,
                                  one_sure_sample());
    ASSERT_TRUE(f) << f.error().message;
    ASSERT_TRUE(f->first_risky_move);
    // Printed to a thousandth of a millimetre.
    EXPECT_NEAR(1000 - f->first_risky_move->where.y.mm(), std::max(w.wheel_mm, w.castor_mm), 6e-4);
  }
}

// Crossing an edge at clearance d with a spread σ across it: Φ(−d/σ); standard table values
// [NistHb1]: d/σ = 1, 1.2815516, 1.6448536, 2, 2.3263479.
TEST(OutsideGeometry, CrossingProbability_IsTheNormalTail) {
  const Robot robot = point_robot();
  Table table;
  table.edge = {at_mm(0, 0), at_mm(5000, 0), at_mm(5000, 1000), at_mm(0, 1000)};
  ForecastOptions options;
  options.samples = 100'000;
  options.start_heading_sd = Angle();
  options.start_sd = Length::from_mm(10);
  const std::pair<double, double> table_values[] = {
      {1.0, 0.1586553}, {1.2815516, 0.1}, {1.6448536, 0.05}, {2.0, 0.02275013}, {2.3263479, 0.01}};
  for (const auto& [ratio, expected] : table_values) {
    // Drives along the edge: only the start's y decides.
    const Pose start{Length::from_mm(2000), Length::from_mm(10 * ratio), Angle()};
    const auto f =
        forecast_moves(robot, sure_settings(robot, 0), {drive_mm(100)}, table, start, options);
    ASSERT_TRUE(f) << f.error().message;
    // Four binomial standard deviations, at a fixed seed.
    EXPECT_NEAR(f->fall.mean, expected, 4 * std::sqrt(expected * (1 - expected) / 100'000));
  }
}

}  // namespace
}  // namespace runtrue
