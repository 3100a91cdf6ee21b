#include "print/internal/plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace runtrue::internal {
namespace {

constexpr double kStrokeGap_pt = 6.0;
constexpr double kStroke_pt = 5.0;
constexpr double kDimensionGap_pt = 19.0;

double signed_area(const std::vector<Point>& corners) {
  double twice = 0.0;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const Point& a = corners[i];
    const Point& b = corners[(i + 1) % corners.size()];
    twice += a.x.mm() * b.y.mm() - b.x.mm() * a.y.mm();
  }
  return twice / 2;
}

std::string in_mm(double mm) { return fmt::format("{:.0f}", mm); }

Pen thin() { return {0.5, kBlack, {}, 0.0}; }

}  // namespace

void Extent_mm::include(const Point& p) {
  x_low = std::min(x_low, p.x.mm());
  y_low = std::min(y_low, p.y.mm());
  x_high = std::max(x_high, p.x.mm());
  y_high = std::max(y_high, p.y.mm());
}

Extent_mm extent_of(const std::vector<Point>& points) {
  if (points.empty()) return {};
  Extent_mm e{points[0].x.mm(), points[0].y.mm(), points[0].x.mm(), points[0].y.mm()};
  for (const Point& p : points) e.include(p);
  return e;
}

Extent_mm extent_of(const Table& table) {
  std::vector<Point> corners = table.edge;
  for (const auto& more : table.more_edges) corners.insert(corners.end(), more.begin(), more.end());
  return extent_of(corners);
}

PlanScale::PlanScale(const Extent_mm& shown, const Box& frame, double room) {
  const double width = std::max(shown.width(), 1.0), depth = std::max(shown.depth(), 1.0);
  const double fits = std::max(width / ((frame.width() - 2 * room) / kPointsPerMm),
                               depth / ((frame.height() - 2 * room) / kPointsPerMm));
  constexpr double kRound[] = {1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0};
  const double decade = std::pow(10.0, std::floor(std::log10(fits)));
  one_to_ = 10.0 * decade;
  for (const double r : kRound) {
    if (r * decade >= fits * (1 - 1e-9)) {
      one_to_ = r * decade;
      break;
    }
  }
  points_per_mm_ = kPointsPerMm / one_to_;
  const double middle_x = (shown.x_low + shown.x_high) / 2;
  const double middle_y = (shown.y_low + shown.y_high) / 2;
  origin_ = {(frame.left + frame.right) / 2 - middle_x * points_per_mm_,
             (frame.top + frame.bottom) / 2 + middle_y * points_per_mm_};
}

Spot PlanScale::at(const Point& p) const {
  return {origin_.x + p.x.mm() * points_per_mm_, origin_.y - p.y.mm() * points_per_mm_};
}

std::vector<Spot> PlanScale::at(const std::vector<Point>& points) const {
  std::vector<Spot> spots;
  spots.reserve(points.size());
  for (const Point& p : points) spots.push_back(at(p));
  return spots;
}

std::vector<Spot> PlanScale::at(const std::vector<Pose>& poses) const {
  std::vector<Spot> spots;
  spots.reserve(poses.size());
  for (const Pose& p : poses) spots.push_back(at(p));
  return spots;
}

std::vector<EdgeFoot> feet_on_edge(const Table& table, const Point& from) {
  std::vector<EdgeFoot> feet;
  const double way_round = signed_area(table.edge) > 0 ? 1.0 : -1.0;
  for (std::size_t i = 0; i < table.edge.size(); ++i) {
    const Point& a = table.edge[i];
    const Point& b = table.edge[(i + 1) % table.edge.size()];
    const double dx = (b.x - a.x).mm(), dy = (b.y - a.y).mm();
    const double side = std::hypot(dx, dy);
    if (side <= 0) continue;
    const double along =
        std::clamp(((from.x - a.x).mm() * dx + (from.y - a.y).mm() * dy) / (side * side), 0.0, 1.0);
    const Point foot{a.x + Length::from_mm(dx) * along, a.y + Length::from_mm(dy) * along};
    const Point outward{Length::from_mm(way_round * dy / side),
                        Length::from_mm(-way_round * dx / side)};
    feet.push_back({foot, outward, std::hypot((from.x - foot.x).mm(), (from.y - foot.y).mm()),
                    static_cast<int>(i)});
  }
  std::stable_sort(feet.begin(), feet.end(), [](const EdgeFoot& a, const EdgeFoot& b) {
    return a.distance_mm < b.distance_mm;
  });
  return feet;
}

void draw_edge(Sheet& sheet, const PlanScale& scale, const Table& table, LabelRoom& room) {
  const Pen edge_pen{2.4, kBlack, {}, 0.0};
  const bool joined = !table.more_edges.empty();  // then it has no single outline
  if (!joined) sheet.line(scale.at(table.edge), edge_pen, true);
  if (!joined) {
    for (const Hole& hole : table.holes) sheet.line(scale.at(hole.polygon), edge_pen, true);
  }
  for (const TableSide& part : sides_of(table)) {
    const Spot a = scale.at(part.from), b = scale.at(part.to);
    const std::vector<Spot> line{a, b};
    if (joined) sheet.line(line, edge_pen);
    room.avoid(line);
    const double dx = b.x - a.x, dy = b.y - a.y, side = std::hypot(dx, dy);
    if (part.walled || side <= 0) continue;
    // Short strokes away from the table, which lies to the left (to the right on paper's y).
    const double out_x = -dy / side, out_y = dx / side;
    const int strokes = std::max(1, static_cast<int>(std::lround(side / kStrokeGap_pt)));
    for (int s = 0; s < strokes; ++s) {
      const double at = (s + 0.5) / strokes;
      const Spot root{a.x + dx * at, a.y + dy * at};
      const std::vector<Spot> stroke{root,
                                     {root.x + out_x * kStroke_pt, root.y + out_y * kStroke_pt}};
      sheet.line(stroke, {0.8, kBlack, {}, 0.0});
      room.avoid(stroke);
    }
  }
}

void draw_obstacles(Sheet& sheet, const PlanScale& scale, const Table& table, LabelRoom& room) {
  for (const Obstacle& o : table.obstacles) {
    Spot middle;
    Box body{};
    if (o.centre) {
      middle = scale.at(*o.centre);
      const double radius = scale.pt(o.radius);
      sheet.fill_circle(middle, radius, kWhite);
      sheet.circle(middle, radius, {1.4, kBlack, {}, 0.0});
      body = Box{middle.x, middle.y, middle.x, middle.y}.grown(radius);
    } else {
      const std::vector<Spot> corners = scale.at(o.polygon);
      sheet.fill(corners, kWhite);
      sheet.line(corners, {1.4, kBlack, {}, 0.0}, true);
      body = {corners[0].x, corners[0].y, corners[0].x, corners[0].y};
      for (const Spot& c : corners) {
        body = {std::min(body.left, c.x), std::min(body.top, c.y), std::max(body.right, c.x),
                std::max(body.bottom, c.y)};
      }
      middle = {(body.left + body.right) / 2, (body.top + body.bottom) / 2};
    }
    room.take(body);
    if (o.name.empty()) continue;
    const TextStyle style{8.5, false, kBlack, 0.0, false};
    const Box size = sheet.text_box(middle, o.name, style, Anchor::kCentre);
    if (size.width() < body.width() - 4 && size.height() < body.height() - 2) {
      sheet.text(middle, o.name, style, Anchor::kCentre);
    } else {
      const double reach = std::max(body.width(), body.height()) / 2;
      const Box place = room.place(middle, size.width(), size.height(), {0, -1}, reach + 2);
      sheet.text({place.left, place.top}, o.name, style);
    }
  }
}

Box dimension_line(Sheet& sheet, const Spot& from, const Spot& to, const std::string& text) {
  const double dx = to.x - from.x, dy = to.y - from.y, length = std::hypot(dx, dy);
  sheet.line({from, to}, thin());
  if (length > 0) {
    // A slanted stroke across each end, as draughtsmen do.
    const double ux = dx / length, uy = dy / length;
    constexpr double kTick_pt = 3.0;
    const Spot slant{(ux - uy) * kTick_pt * 0.7, (uy + ux) * kTick_pt * 0.7};
    for (const Spot& end : {from, to}) {
      sheet.line({{end.x - slant.x, end.y - slant.y}, {end.x + slant.x, end.y + slant.y}},
                 {0.9, kBlack, {}, 0.0});
    }
  }
  double angle = std::atan2(-dy, dx);
  if (angle > std::numbers::pi / 2 + 1e-9) angle -= std::numbers::pi;
  if (angle <= -std::numbers::pi / 2 + 1e-9) angle += std::numbers::pi;
  const Spot middle{(from.x + to.x) / 2, (from.y + to.y) / 2};
  const TextStyle style{8.0, false, kBlack, 0.0, true};
  const Box size = sheet.text_box(middle, text, style, Anchor::kCentre);
  Spot centre = middle;
  if (size.width() + 8 > length) {
    // Too short for its number between the ends: the number stands beside the line.
    centre = {middle.x - std::sin(angle) * -(size.height() / 2 + 2),
              middle.y + std::cos(angle) * (size.height() / 2 + 2)};
  }
  sheet.turned_text(centre, angle, text, style);
  const double half_width =
      (std::fabs(std::cos(angle)) * size.width() + std::fabs(std::sin(angle)) * size.height()) / 2;
  const double half_height =
      (std::fabs(std::sin(angle)) * size.width() + std::fabs(std::cos(angle)) * size.height()) / 2;
  return {centre.x - half_width, centre.y - half_height, centre.x + half_width,
          centre.y + half_height};
}

void draw_dimensions(Sheet& sheet, const PlanScale& scale, const Table& table, LabelRoom& room) {
  const Extent_mm e = extent_of(table);
  const Spot low = scale.at(Point{Length::from_mm(e.x_low), Length::from_mm(e.y_low)});
  const Spot high = scale.at(Point{Length::from_mm(e.x_high), Length::from_mm(e.y_high)});
  const double below = low.y + kDimensionGap_pt, beside = low.x - kDimensionGap_pt;
  for (const double x : {low.x, high.x})
    sheet.line({{x, low.y + kStroke_pt + 3}, {x, below + 4}}, {0.35, kGrey, {}, 0.0});
  for (const double y : {low.y, high.y})
    sheet.line({{low.x - kStroke_pt - 3, y}, {beside - 4, y}}, {0.35, kGrey, {}, 0.0});
  room.take(dimension_line(sheet, {low.x, below}, {high.x, below}, in_mm(e.width()) + " mm"));
  room.take(dimension_line(sheet, {beside, low.y}, {beside, high.y}, in_mm(e.depth()) + " mm"));
  room.avoid({{low.x, below}, {high.x, below}});
  room.avoid({{beside, low.y}, {beside, high.y}});
}

void draw_robot(Sheet& sheet, const PlanScale& scale, const Robot& robot, const Pose& pose,
                LabelRoom& room) {
  const Pen pen{0.6, kGrey, {}, 0.0};
  std::vector<Spot> outline;
  if (robot.outline.polygon.empty()) {
    constexpr int kCorners = 72;
    for (int i = 0; i < kCorners; ++i) {
      const double a = 2 * std::numbers::pi * i / kCorners;
      outline.push_back(scale.at(point_in(pose, {robot.outline.circle_radius * std::cos(a),
                                                 robot.outline.circle_radius * std::sin(a)})));
    }
  } else {
    for (const Point& p : robot.outline.polygon) outline.push_back(scale.at(point_in(pose, p)));
  }
  sheet.line(outline, pen, true);
  outline.push_back(outline.front());
  room.avoid(outline);
  const Length reach = robot.wheel_diameter / 2.0;
  for (const Point& w : robot.wheels) {
    const std::vector<Spot> wheel{scale.at(point_in(pose, {w.x - reach, w.y})),
                                  scale.at(point_in(pose, {w.x + reach, w.y}))};
    sheet.line(wheel, {2.2, kGrey, {}, 0.0});
    room.avoid(wheel);
  }
  for (const Point& c : robot.castors)
    sheet.circle(scale.at(point_in(pose, c)), std::max(1.2, scale.pt(Length::from_mm(8))), pen);
}

void draw_start_mark(Sheet& sheet, const PlanScale& scale, const Table& table, const Pose& start,
                     LabelRoom& room) {
  const Spot at = scale.at(start);
  // The T: its bar where the wheels stand, its stem the way the robot looks.
  const double bar = 9.0, stem = 17.0;
  const double c = std::cos(start.heading.rad()), s = std::sin(start.heading.rad());
  const Pen pen{1.8, kBlack, {}, 0.0};
  sheet.line({{at.x - s * bar, at.y - c * bar}, {at.x + s * bar, at.y + c * bar}}, pen);
  sheet.line({at, {at.x + c * stem, at.y - s * stem}}, pen);
  room.avoid({at, {at.x + c * stem, at.y - s * stem}});

  const std::vector<EdgeFoot> feet = feet_on_edge(table, {start.x, start.y});
  std::vector<EdgeFoot> chosen;
  for (const EdgeFoot& foot : feet) {
    // Two measures in unlike directions, each square to its edge, fix a place.
    const double off_mm = std::fabs((start.x - foot.foot.x).mm() * foot.outward.y.mm() -
                                    (start.y - foot.foot.y).mm() * foot.outward.x.mm());
    if (off_mm > 1e-6 * (1 + foot.distance_mm)) continue;
    if (!chosen.empty()) {
      const double cross = chosen[0].outward.x.mm() * foot.outward.y.mm() -
                           chosen[0].outward.y.mm() * foot.outward.x.mm();
      if (std::fabs(cross) < 0.5) continue;
    }
    chosen.push_back(foot);
    if (chosen.size() == 2) break;
  }
  for (const EdgeFoot& foot : chosen) {
    const Spot there = scale.at(foot.foot);
    room.take(dimension_line(sheet, there, at, in_mm(foot.distance_mm)));
    room.avoid({at, there});
  }
  double heading = start.heading.wrapped().deg();
  if (heading <= -179.95) heading = 180.0;
  const bool whole = std::fabs(heading - std::round(heading)) < 0.05;
  const std::string words =
      fmt::format("start\nheading {}°", signed_number(heading, whole ? 0 : 1));
  const TextStyle style{8.5, true, kBlack, 0.0, true};
  const Box size = sheet.text_box(at, words, style, Anchor::kUpperLeft);
  const Box place = room.place(at, size.width(), size.height(), {-c, s}, 14.0);
  sheet.text({place.left, place.top}, words, style);
}

void draw_scale_bar(Sheet& sheet, const PlanScale& scale, const Spot& at) {
  // A round length that takes 60 to 150 points.
  double step_mm = 1.0;
  for (const double candidate :
       {1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0}) {
    step_mm = candidate;
    if (scale.pt(Length::from_mm(2 * candidate)) >= 60) break;
  }
  const double step = scale.pt(Length::from_mm(step_mm));
  const double bar = 3.5;
  for (int i = 0; i < 2; ++i) {
    const Box box{at.x + i * step, at.y - bar, at.x + (i + 1) * step, at.y};
    const std::vector<Spot> corners{
        {box.left, box.top}, {box.right, box.top}, {box.right, box.bottom}, {box.left, box.bottom}};
    if (i == 0) sheet.fill(corners, kBlack);
    sheet.line(corners, {0.6, kBlack, {}, 0.0}, true);
  }
  const TextStyle style{8.0, false, kBlack, 0.0, false};
  for (int i = 0; i <= 2; ++i) {
    const Spot over{at.x + i * step, at.y - bar - 6};
    sheet.text(over, in_mm(i * step_mm), style, Anchor::kCentre);
  }
  sheet.text({at.x + 2 * step + 14, at.y - bar / 2 - 2},
             fmt::format("mm     scale 1:{:g} printed on A4; every length in mm", scale.one_to()),
             style, Anchor::kLeft);
}

}  // namespace runtrue::internal
