// A table seen from above, to scale: edge, obstacles, dimensions, scale bar, start mark, robot.
#pragma once

#include <string>
#include <vector>

#include "print/internal/label_room.h"
#include "print/internal/sheet.h"

namespace runtrue::internal {

// A rectangle of the table's frame, mm.
struct Extent_mm {
  double x_low = 0.0, y_low = 0.0, x_high = 0.0, y_high = 0.0;
  void include(const Point& p);
  [[nodiscard]] double width() const { return x_high - x_low; }
  [[nodiscard]] double depth() const { return y_high - y_low; }
};
[[nodiscard]] Extent_mm extent_of(const std::vector<Point>& points);
// Of all its tops.
[[nodiscard]] Extent_mm extent_of(const Table& table);

// Carries places on the table to places on the paper, at a round scale 1:n.
class PlanScale {
 public:
  // The largest round scale at which `shown` fits `frame` with `room` left free on each side.
  PlanScale(const Extent_mm& shown, const Box& frame, double room);

  [[nodiscard]] Spot at(const Point& p) const;
  [[nodiscard]] Spot at(const Pose& p) const { return at(Point{p.x, p.y}); }
  [[nodiscard]] std::vector<Spot> at(const std::vector<Point>& points) const;
  [[nodiscard]] std::vector<Spot> at(const std::vector<Pose>& poses) const;
  [[nodiscard]] double pt(Length length) const { return length.mm() * points_per_mm_; }
  [[nodiscard]] double one_to() const { return one_to_; }

 private:
  double one_to_ = 10.0;
  double points_per_mm_ = 1.0;
  Spot origin_;  // where the table's (0, 0) lies on the paper
};

// The nearest point of the table's edge, and the way out there (a unit vector of the table's
// frame).
struct EdgeFoot {
  Point foot;
  Point outward;
  double distance_mm = 0.0;
  int side = 0;
};
// Feet on all sides, the nearest first.
[[nodiscard]] std::vector<EdgeFoot> feet_on_edge(const Table& table, const Point& from);

void draw_edge(Sheet& sheet, const PlanScale& scale, const Table& table, LabelRoom& room);
void draw_obstacles(Sheet& sheet, const PlanScale& scale, const Table& table, LabelRoom& room);
// Width and depth of the whole table, below and at its left.
void draw_dimensions(Sheet& sheet, const PlanScale& scale, const Table& table, LabelRoom& room);
// The robot from above at a pose: outline, wheels, castors.
void draw_robot(Sheet& sheet, const PlanScale& scale, const Robot& robot, const Pose& pose,
                LabelRoom& room);
// A T at the start with two dimension lines to the nearest edges and the heading in words.
void draw_start_mark(Sheet& sheet, const PlanScale& scale, const Table& table, const Pose& start,
                     LabelRoom& room);
// Lower left corner at `at`.
void draw_scale_bar(Sheet& sheet, const PlanScale& scale, const Spot& at);

// A line between two places with a stroke across each end and its length in mm along it.
Box dimension_line(Sheet& sheet, const Spot& from, const Spot& to, const std::string& text);

}  // namespace runtrue::internal
