#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "print/internal/heading.h"
#include "print/internal/label_room.h"
#include "print/internal/plan.h"
#include "print/internal/sheet.h"
#include "print/picture.h"

namespace runtrue {
namespace {

using internal::Anchor;
using internal::Box;
using internal::LabelRoom;
using internal::PlanScale;
using internal::Sheet;
using internal::Spot;
using internal::TextStyle;

constexpr double kPathColumn_pt = 150.0;
const internal::Pen kWishPen{3.2, internal::kPale, {}, 0.0};
const internal::Pen kMovesPen{1.5, internal::kComputed, {}, 0.0};

// Width and depth of everything drawn, below and at its left.
void draw_size(Sheet& sheet, const PlanScale& scale, const internal::Extent_mm& e,
               LabelRoom& room) {
  const Spot low = scale.at(Point{Length::from_mm(e.x_low), Length::from_mm(e.y_low)});
  const Spot high = scale.at(Point{Length::from_mm(e.x_high), Length::from_mm(e.y_high)});
  constexpr double kGap_pt = 19.0, kTick_pt = 4.0;
  const auto dimension = [&](const Spot& from, const Spot& to, double mm) {
    if (mm < 1.0) return;
    room.take(internal::dimension_line(sheet, from, to, fmt::format("{:.0f} mm", mm)));
    room.take({std::min(from.x, to.x) - kTick_pt, std::min(from.y, to.y) - kTick_pt,
               std::max(from.x, to.x) + kTick_pt, std::max(from.y, to.y) + kTick_pt});
  };
  dimension({low.x, low.y + kGap_pt}, {high.x, low.y + kGap_pt}, e.width());
  dimension({low.x - kGap_pt, low.y}, {low.x - kGap_pt, high.y}, e.depth());
}

// A ring around where the path is farthest off, with a line to the place that stands for it.
void draw_farthest(Sheet& sheet, const PlanScale& scale, const FittedPath& fitted,
                   LabelRoom& room) {
  if (fitted.farthest_off < Length::from_mm(0.05)) return;
  const Spot off = scale.at(fitted.farthest_at);
  const Spot foot = scale.at(fitted.farthest_from);
  sheet.line({off, foot}, {1.2, internal::kDanger, {}, 0.0});
  sheet.circle(off, 5.0, {1.2, internal::kDanger, {}, 0.0});
  const std::string text = fmt::format("{:.1f} mm off", fitted.farthest_off.mm());
  const TextStyle style{10.0, true, internal::kDanger, 0.0, true};
  const Box size = sheet.text_box(off, text, style, Anchor::kUpperLeft);
  const Box place =
      room.place(off, size.width(), size.height(), {off.x - foot.x, off.y - foot.y}, 9.0);
  sheet.text({place.left, place.top}, text, style);
}

void draw_start(Sheet& sheet, const PlanScale& scale, const Pose& start, LabelRoom& room) {
  const Spot at = scale.at(start);
  const double c = std::cos(start.heading.rad()), s = std::sin(start.heading.rad());
  const internal::Pen pen{1.8, internal::kBlack, {}, 0.0};
  sheet.line({{at.x - s * 9, at.y - c * 9}, {at.x + s * 9, at.y + c * 9}}, pen);
  sheet.line({at, {at.x + c * 17, at.y - s * 17}}, pen);
  const TextStyle style{8.5, true, internal::kBlack, 0.0, true};
  const std::string words =
      fmt::format("start\nheading {}°", internal::signed_number(start.heading.wrapped().deg(), 1));
  const Box size = sheet.text_box(at, words, style, Anchor::kUpperLeft);
  const Box place = room.place(at, size.width(), size.height(), {-c, s}, 12.0);
  sheet.text({place.left, place.top}, words, style);
}

void draw_column(Sheet& sheet, const PathPicture& picture, const Box& column) {
  constexpr double kRow_pt = 11.6;
  double y = column.top;
  sheet.text({column.left, y}, "Moves", {10.0, true, internal::kBlack, 0.0, false});
  y += 16.0;
  const TextStyle style{8.5, false, internal::kBlack, 0.0, false};
  const auto& body = picture.fitted.moves.body;
  const auto most = static_cast<std::size_t>(std::max((column.bottom - y - 60) / kRow_pt, 2.0));
  const std::size_t shown = body.size() <= most ? body.size() : most - 1;
  for (std::size_t i = 0; i < shown; ++i) {
    sheet.text({column.left + 18, y}, std::to_string(i + 1), style, Anchor::kUpperRight);
    const std::string text = move_text(std::get<SingleMove>(body[i].what));
    sheet.text({column.left + 26, y}, internal::cut_to(sheet, text, style, column.width() - 26),
               style);
    y += kRow_pt;
  }
  if (shown < body.size()) {
    sheet.text({column.left + 26, y}, fmt::format("and {} more", body.size() - shown),
               {8.5, false, internal::kGrey, 0.0, false});
  }
  y = column.bottom - 34;
  const auto row = [&](const internal::Pen& pen, const char* words) {
    sheet.line({{column.left, y}, {column.left + 26, y}}, pen);
    sheet.text({column.left + 34, y}, words, {8.0, false, internal::kBlack, 0.0, false},
               Anchor::kLeft);
    y += 14.0;
  };
  row(kWishPen, "the path as it was drawn");
  row(kMovesPen, "the moves");
  if (picture.fitted.farthest_off >= Length::from_mm(0.05)) {
    sheet.circle({column.left + 13, y}, 5.0, {1.2, internal::kDanger, {}, 0.0});
    sheet.text({column.left + 34, y}, "farthest off", {8.0, false, internal::kBlack, 0.0, false},
               Anchor::kLeft);
  }
}

}  // namespace

Result<std::string> picture_of(const PathPicture& picture, PictureKind kind) {
  RUNTRUE_CHECK(picture.path.size() >= 2);
  const std::string title = "Moves along a path";
  const std::string heading = picture.sentence.empty() ? title : picture.sentence;
  const std::string details = fmt::format("{} points{}", picture.path.size(),
                                          picture.made_on.empty() ? "" : "  ·  " + picture.made_on);
  Sheet sheet(kind, title, heading + "\n" + details, picture.made_on);
  const Box all = internal::draw_heading(sheet, heading, details, kHandAtTheEdge);
  const Box frame{all.left, all.top + 10, all.right - kPathColumn_pt - 16, all.bottom - 46};
  internal::Extent_mm shown = internal::extent_of(picture.path);
  for (const Point& corner : picture.fitted.corners) shown.include(corner);
  const PlanScale scale(shown, frame, 40.0);
  LabelRoom room(frame);
  room.avoid(scale.at(picture.path));
  sheet.line(scale.at(picture.path), kWishPen);
  sheet.line(scale.at(picture.fitted.corners), kMovesPen);
  draw_size(sheet, scale, shown, room);
  draw_start(sheet, scale, picture.fitted.start, room);
  draw_farthest(sheet, scale, picture.fitted, room);
  internal::draw_scale_bar(sheet, scale, {all.left + 4, all.bottom - 18});
  draw_column(sheet, picture,
              {all.right - kPathColumn_pt, all.top + 10, all.right, all.bottom - 10});
  return sheet.finish();
}

}  // namespace runtrue
