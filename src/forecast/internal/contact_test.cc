// First contacts in closed form against the same arcs walked in small steps.
#include "forecast/internal/contact.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "forecast/internal/any_number.h"
#include "forecast/internal/scene.h"
#include "forecast/internal/test_scene.h"

namespace runtrue::internal {
namespace {

Arc any_arc() {
  const double kinds[] = {0.0, 1e-9, 5e-8, 1e-3, 1.0};
  const double turn = between(-8, 8) * kinds[*rc::gen::inRange(0, 5)];
  return {Length::from_mm(between(-400, 400)), Angle::from_rad(turn)};
}

constexpr int kSteps = 4000;

// The first step at which `reached` holds, as a fraction; 2 where it never does.
template <class Reached>
double walked(Reached reached) {
  for (int i = 0; i <= kSteps; ++i) {
    if (reached(static_cast<double>(i) / kSteps)) return static_cast<double>(i) / kSteps;
  }
  return 2.0;
}

// A walk in steps finds a contact at most one step late, and misses one that lasts less than a
// step. So where it finds one the closed form has it within the step before; where it finds none,
// the closed form's contact must be a graze: half a step to either side the gap is opened by less
// than half a step's way.
template <class Gap>
void expect_same(std::optional<double> exact, double stepped, double way_mm, Gap gap_mm) {
  if (stepped <= 1.0) {
    RC_ASSERT(exact.has_value());
    RC_ASSERT(*exact <= stepped + 1e-9);
    if (*exact > stepped - 1.0 / kSteps - 1e-9) return;
  }
  if (exact) RC_ASSERT(std::abs(gap_mm(*exact)) < way_mm / kSteps);
}

double way_of(const Arc& arc, double reach_mm) {
  return std::abs(arc.length.mm()) + std::abs(arc.turn.rad()) * reach_mm;
}

RC_GTEST_PROP(Contact, WithAPoint_IsWhereAWalkInStepsFindsIt, ()) {
  const Pose at = pose(between(-300, 300), between(-300, 300), between(-180, 180));
  const Arc arc = any_arc();
  const PointPath path = path_of_robot_point(at, arc, {between(-90, 90), between(-90, 90)});
  const Vec place{between(-300, 300), between(-300, 300)};
  const double reach = between(1, 90);
  const auto gap = [&](double t) { return length(path.at(t) - place) - reach; };
  expect_same(first_near_point(path, place, reach), walked([&](double t) { return gap(t) <= 0; }),
              way_of(arc, 130), gap);
}

RC_GTEST_PROP(Contact, WithASide_IsWhereAWalkInStepsFindsIt, ()) {
  const Pose at = pose(between(-300, 300), between(-300, 300), between(-180, 180));
  const Arc arc = any_arc();
  const PointPath path = path_of_robot_point(at, arc, {between(-90, 90), between(-90, 90)});
  const Vec a{between(-300, 300), between(-300, 300)}, b{between(-300, 300), 301};
  const double reach = between(1, 90);
  const auto gap = [&](double t) { return distance_to_side(path.at(t), a, b) - reach; };
  expect_same(first_near_side(path, a, b, reach), walked([&](double t) { return gap(t) <= 0; }),
              way_of(arc, 130), gap);
}

RC_GTEST_PROP(Contact, CrossingASide_IsWhereTheWalkChangesSides, ()) {
  const Pose at = pose(between(-300, 300), between(-300, 300), between(-180, 180));
  const Arc arc = any_arc();
  const PointPath path = path_of_robot_point(at, arc, {between(-90, 90), between(-90, 90)});
  const Vec a{between(-300, 300), between(-300, 300)}, b{between(-300, 300), 301};
  double last = 0.0;
  const double stepped = walked([&](double t) {
    const bool crosses = t > 0.0 && sides_meet(path.at(last), path.at(t), a, b);
    last = t;
    return crosses;
  });
  // At the side's ends and where it grazes, chords and arc may disagree by the chord's sagitta.
  const double sagitta = way_of(arc, 130) * std::abs(arc.turn.rad()) / kSteps / kSteps + 1e-6;
  const auto exact = first_near_side(path, a, b, 0.0);
  const auto near_miss = [&](double t) {
    const Vec p = path.at(t), along = b - a;
    const double to_line = std::abs(cross(p - a, along)) / length(along);
    const Vec ahead = path.at(std::min(t + 1e-6, 1.0)) - path.at(std::max(t - 1e-6, 0.0));
    const bool grazes = std::abs(cross(ahead, along)) < 0.05 * length(ahead) * length(along);
    return grazes || to_line < 1e-3 || length(p - a) < 1e-2 || length(p - b) < 1e-2;
  };
  if (exact && stepped <= 1.0) {
    if (std::abs(*exact - stepped) > 1.0 / kSteps + 1e-9) {
      RC_ASSERT(near_miss(*exact) || near_miss(stepped));
    }
  } else if (exact) {
    RC_ASSERT(near_miss(*exact));
  } else if (stepped <= 1.0) {
    RC_ASSERT(distance_to_side(path.at(stepped), a, b) < way_of(arc, 130) / kSteps + sagitta);
    RC_ASSERT(near_miss(stepped) || near_miss(stepped - 1.0 / kSteps));
  }
}

RC_GTEST_PROP(Contact, SeenFromTheRobot_IsTheSameAsSeenFromTheTable, ()) {
  const Pose at = pose(between(-300, 300), between(-300, 300), between(-180, 180));
  const Arc arc = any_arc();
  const Vec place{between(-300, 300), between(-300, 300)};
  const PointPath seen = path_seen_from_robot(at, arc, place);
  for (const double t : {0.0, 0.3, 1.0}) {
    const Pose there = compose(at, pose_after(part_of(arc, t)));
    const Vec expected = vec_of(point_in(inverse(there), point_of(place)));
    // Roundings on lengths under 2 m: 1e-9 mm is four orders above them.
    RC_ASSERT(length(seen.at(t) - expected) < 1e-9);
  }
}

// A robot with a polygon outline among a mug and a box: bumps where a walk in steps first overlaps.
RC_GTEST_PROP(Contact, OfAPolygonOutline_IsWhereAWalkInStepsFirstOverlaps, ()) {
  Robot robot = default_robot("Knot", Length::from_mm(100));
  robot.outline.polygon = {at_mm(80, 50), at_mm(-60, 50), at_mm(-60, -50), at_mm(60, -50)};
  Table table = trestle();
  table.walled = *rc::gen::arbitrary<bool>();
  table.obstacles = {{"mug", at_mm(700, 400), Length::from_mm(45), {}},
                     {"box", {}, {}, {at_mm(900, 300), at_mm(1000, 350), at_mm(930, 450)}}};
  const Scene scene = scene_of(robot, table);
  const Pose at = pose(between(100, 1400), between(100, 660), between(-180, 180));
  RC_PRE(!overlaps(scene, at));
  const Arc arc = any_arc();
  const double stepped =
      walked([&](double t) { return overlaps(scene, compose(at, pose_after(part_of(arc, t)))); });
  const auto exact = first_bump(scene, at, arc);
  if (stepped <= 1.0) {
    RC_ASSERT(exact.has_value());
    RC_ASSERT(*exact <= stepped + 1e-9);
  }
  // Later than the contact found, a walk may only be by a graze: the overlap there is tiny, so a
  // robot whose obstacle is 1 mm smaller must be clear at that place.
  if (exact && *exact < stepped - 1.0 / kSteps - 1e-6) {
    Table smaller = table;
    smaller.obstacles[0].radius = Length::from_mm(44);
    smaller.obstacles[1].polygon = {at_mm(902, 302.5), at_mm(998, 350.5), at_mm(931, 447)};
    smaller.walled = false;
    RC_ASSERT(!overlaps(scene_of(robot, smaller), compose(at, pose_after(part_of(arc, *exact)))));
  }
}

}  // namespace
}  // namespace runtrue::internal
