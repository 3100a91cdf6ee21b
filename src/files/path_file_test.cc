// Paths from files, against figures whose points are known in closed form.
#include "files/path_file.h"

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "files/internal/svg_geometry.h"

namespace runtrue {
namespace {

std::vector<Point> points_of(const std::string& text, std::string_view id = "") {
  const auto points = read_path(text, "wish.svg", id);
  EXPECT_TRUE(points) << (points ? "" : points.error().one_line());
  return points.value_or(std::vector<Point>{});
}

std::string refusal(const std::string& text, std::string_view id = "") {
  const auto points = read_path(text, "wish", id);
  return points ? "" : points.error().one_line();
}

std::string drawing(
    const std::string& inside,
    const std::string& page = "width='200mm' height='100mm' viewBox='0 0 200 100'") {
  return "<svg xmlns='http://www.w3.org/2000/svg' " + page + ">" + inside + "</svg>";
}

void expect_points(const std::vector<Point>& points,
                   const std::vector<std::pair<double, double>>& expected) {
  ASSERT_EQ(points.size(), expected.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    EXPECT_NEAR(points[i].x.mm(), expected[i].first, 1e-9) << i;
    EXPECT_NEAR(points[i].y.mm(), expected[i].second, 1e-9) << i;
  }
}

TEST(PathFile, ATableOfPoints_IsReadWithItsSeparatorAndColumnsInAnyOrder) {
  expect_points(points_of("x_mm,y_mm\n0,0\n300,-4.5\n"), {{0, 0}, {300, -4.5}});
  expect_points(points_of("y_mm;x_mm\r\n1,5;2\r\n\r\n3;4\r\n"), {{2, 1.5}, {4, 3}});
}

// [Svg2, 9.3.9]: absolute and relative, numbers without blanks, further pairs of M as lines.
TEST(PathFile, LinesOfADrawing_AreReadWithYUpFromItsLowerEdge) {
  const std::vector<std::pair<double, double>> expected{{10, 90}, {30, 90}, {30, 50}, {10, 90}};
  for (const char* data :
       {"M10 10H30V50Z", "m10,10 20,0 0 40z", "M1e1,10 L30 10,30,50 Z", "M10 10h+20v.4e2L10 10"}) {
    expect_points(points_of(drawing(std::string("<path d='") + data + "'/>")), expected);
  }
  expect_points(points_of(drawing("<polyline points='1,2 3-4'/>")), {{1, 98}, {3, 104}});
  expect_points(points_of(drawing("<polygon points='0 0 9 0 9 9'/>")),
                {{0, 100}, {9, 100}, {9, 91}, {0, 100}});
}

// A half circle of 40 mm about (60, 50): every point lies on it, and the pieces stay within a tenth
// of a millimetre of it. The same by an arc, by its ends scaled up, and mirrored by the flags.
TEST(PathFile, Arcs_RunOnTheirCircle) {
  for (const char* data : {"M20 50 A40 40 0 0 1 100 50", "M20 50a40,40,0,01,80,0",
                           "M20 50 A1 1 33 0 1 100 50", "M100 50 A40 40 0 0 0 20 50"}) {
    const auto points = points_of(drawing(std::string("<path d='") + data + "'/>"));
    ASSERT_GT(points.size(), 10U) << data;
    double highest = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double x = points[i].x.mm() - 60, y = points[i].y.mm() - 50;
      EXPECT_NEAR(std::hypot(x, y), 40, 1e-9) << data;
      highest = std::max(highest, y);
      if (i == 0) continue;
      const double chord =
          std::hypot((points[i].x - points[i - 1].x).mm(), (points[i].y - points[i - 1].y).mm());
      EXPECT_LT(40 - std::sqrt(40 * 40 - chord * chord / 4), kFlatTo_mm) << data;
    }
    EXPECT_NEAR(highest, 40, kFlatTo_mm) << data;  // over the top, since y is up here
  }
  // An ellipse of 40 by 20, tilted by a quarter turn.
  for (const Point& p : points_of(drawing("<path d='M60 10A40 20 90 1 1 60 90'/>"))) {
    const double x = p.x.mm() - 60, y = p.y.mm() - 50;
    EXPECT_NEAR(x * x / 400 + y * y / 1600, 1.0, 1e-9);
  }
}

// The parabola y = x²/100 from -50 to 50 as a quadratic Bézier curve, as the cubic of the same
// points, and in two halves with the second control point reflected.
TEST(PathFile, BezierCurves_RunOnTheirParabola) {
  for (const char* data : {"M-50 25Q0-25 50 25",
                           "M-50 25c33.333333333333336-33.333333333333336 "
                           "66.66666666666667-33.333333333333336 100 0",
                           "M-50 25Q-25 0 0 0T50 25", "M-50 25q25-25 50-25t50 25"}) {
    const auto points = points_of(drawing(std::string("<path d='") + data + "'/>"));
    ASSERT_GT(points.size(), 5U);
    for (const Point& p : points) {
      EXPECT_NEAR(100 - p.y.mm(), p.x.mm() * p.x.mm() / 100, 1e-9) << data;
    }
    EXPECT_NEAR(points.back().x.mm(), 50, 1e-9);
  }
}

TEST(PathFile, TransformsAndThePagesSize_MakeMillimetres) {
  // Half an inch across 100 units; the group turns by 90 deg about (10, 10), the line moves by 5.
  const auto points =
      points_of(drawing("<g transform='rotate(90, 10 10)'><path transform="
                        "'translate(5)scale(1 2)' d='M0 0H10'/></g>",
                        "width='1in' viewBox='0 0 100 50'"));
  // (5, 0) and (15, 0) turn into (20, 5) and (20, 15); y is up from 50.
  const double mm = 0.254;
  expect_points(points, {{20 * mm, 45 * mm}, {20 * mm, 35 * mm}});
  expect_points(points_of(drawing("<path d='M0 0L96 96'/>", "")), {{0, 0}, {25.4, -25.4}});
  expect_points(
      points_of(drawing("<path transform='matrix(1 0 0 1 3 4) skewX(45)' d='M0 0L0 2'/>")),
      {{3, 96}, {5, 94}});
}

TEST(PathFile, OfSeveralLines_TheOneOfTheIdIsTaken) {
  const std::string two = drawing(
      "<defs><path id='no' d='M0 0L1 1'/></defs>"
      "<path id='a' d='M0 0L1 0'/><path id='b' d='M0 0L2 0'/>");
  EXPECT_EQ(points_of(two, "b").back().x.mm(), 2);
  EXPECT_EQ(refusal(two),
            "wish:1:160: there are 2 lines, expected one, or the id of one of them; ids are a, b");
  EXPECT_EQ(refusal(two, "c"), "wish: no line has the id 'c'; ids are a, b");
}

TEST(PathFile, WhatIsNoPath_IsRefusedWithItsPlace) {
  const struct {
    std::string text, says;
  } cases[] = {
      {"", "wish:1:1: the file is empty, expected a first line x_mm,y_mm"},
      {"x_mm\n1\n", "wish:1:1: column y_mm is missing, expected x_mm,y_mm"},
      {"x_mm,z_mm\n",
       "wish:1:6: 'z_mm' is no column of a path, expected a first line x_mm,y_mm, "
       "did you mean 'x_mm'?"},
      {"x_mm,y_mm\n1,two\n", "wish:2:3: y_mm is 'two', expected a number"},
      {"x_mm,y_mm\n1,2,3\n",
       "wish:2:5: this row has 3 cells, expected 2; with decimal commas, "
       "part cells by semicolons"},
      {"<svg><path d='M0 0'>", "wish:1:21: the drawing is not well-formed XML: no element found"},
      {"<html/>", "wish:1:1: the first element: expected svg, not 'html'"},
      {drawing(""), "wish: the drawing has no line, expected a path, polyline or polygon"},
      {"<svg><path d='L1 1'/></svg>",
       "wish:1:6: d: character 1 is 'L', expected M, with which a path begins"},
      {"<svg><path d='M1 1L2'/></svg>", "wish:1:6: d: it ends too early, expected a number"},
      {"<svg><path d='M1 1X2 2'/></svg>",
       "wish:1:6: d: character 5 is 'X', expected a command: M L H V C S Q T A or Z"},
      {"<svg><path d='M1 1L2 2M3 3'/></svg>",
       "wish:1:6: d: character 9 is 'M', expected the path's end: it must be one line drawn "
       "without lifting"},
      {"<svg><path d='M1 1A2 2 0 2 0 3 3'/></svg>",
       "wish:1:6: d: character 12 is '2', expected a flag, 0 or 1"},
      {"<svg><path transform='turn(3)' d='M1 1'/></svg>",
       "wish:1:6: transform: 'turn' with 1 numbers is no transform, expected matrix, translate, "
       "scale, rotate, skewX or skewY"},
      {"<svg><path transform='scale(0)' d='M1 1'/></svg>",
       "wish:1:6: the transforms of this line leave it no size, expected some"},
      {"<svg width='9 m'><path d='M1 1'/></svg>",
       "wish:1:1: width: '9 m' is no length, expected mm, cm, in, pt, pc, Q or px"},
      {"<svg viewBox='0 0 0 9'/>", "wish:1:1: viewBox: its size is 0 by 9, expected more than 0"},
  };
  for (const auto& c : cases) EXPECT_EQ(refusal(c.text), c.says) << c.text;
  EXPECT_EQ(refusal("x_mm,y_mm\n", "a"),
            "wish: an id goes with an SVG drawing alone, this is a table of points");
}

// A definition that grows without end is stopped by the XML library.
TEST(PathFile, EntitiesThatGrowWithoutEnd_AreRefused) {
  std::string text = "<!DOCTYPE svg [<!ENTITY a0 'M0 0'>";
  for (int i = 1; i < 40; ++i) {
    const std::string before = "&a" + std::to_string(i - 1) + ";";
    text += "<!ENTITY a" + std::to_string(i) + " '" + before + before + before + before + "'>";
  }
  EXPECT_NE(refusal(text + "]><svg><path d='&a39;'/></svg>"), "");
}

}  // namespace
}  // namespace runtrue
