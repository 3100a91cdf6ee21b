#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "print/internal/heading.h"
#include "print/internal/label_room.h"
#include "print/internal/sheet.h"
#include "print/picture.h"

namespace runtrue {
namespace {

using internal::Anchor;
using internal::Box;
using internal::kMargin_pt;
using internal::LabelRoom;
using internal::Sheet;
using internal::signed_number;
using internal::Spot;
using internal::TextStyle;

constexpr double kTruingColumn_pt = 196.0;

// Trim to the right, drift upward (to the left of the robot).
struct Axes {
  Box frame;
  double trim_low = 0.0, trim_high = 0.0, drift_high = 0.0;
  [[nodiscard]] Spot at(double trim, double drift) const {
    return {frame.left + (trim - trim_low) / (trim_high - trim_low) * frame.width(),
            (frame.top + frame.bottom) / 2 - drift / drift_high * frame.height() / 2};
  }
};

// 1, 2 or 5 times a power of ten, so that `span` holds about `parts` of it.
double round_step(double span, double parts) {
  const double raw = span / parts;
  const double decade = std::pow(10.0, std::floor(std::log10(raw)));
  for (const double r : {1.0, 2.0, 5.0}) {
    if (r * decade >= raw * (1 - 1e-9)) return r * decade;
  }
  return 10.0 * decade;
}

// The drift axis holds every measured point, the tolerance three times and the curve at the best
// trim; the rest of the curve may run out of the frame.
double drift_shown(const TruingPicture& picture) {
  double most = 3.0 * picture.tolerance_mm_per_m;
  for (const RunDrift& run : picture.truing.run_drifts)
    most = std::max(most, 1.15 * std::fabs(run.drift_mm_per_m.mean));
  most = std::max({most, std::min(std::fabs(picture.truing.drift_mm_per_m.low), 300.0),
                   std::min(std::fabs(picture.truing.drift_mm_per_m.high), 300.0)});
  most = std::min(most, 1000.0);
  const double step = round_step(2 * most, 8);
  return std::ceil(most / step - 1e-9) * step;
}

void draw_axes(Sheet& sheet, const Axes& axes) {
  const TextStyle numbers{8.5, false, internal::kBlack, 0.0, false};
  const Box& f = axes.frame;
  sheet.line({{f.left, f.top}, {f.left, f.bottom}, {f.right, f.bottom}},
             {0.8, internal::kBlack, {}, 0.0});
  sheet.line({axes.at(axes.trim_low, 0), axes.at(axes.trim_high, 0)},
             {0.6, internal::kBlack, {}, 0.0});
  const double drift_step = round_step(2 * axes.drift_high, 8);
  const int drift_steps = static_cast<int>(std::lround(axes.drift_high / drift_step));
  for (int i = -drift_steps; i <= drift_steps; ++i) {
    const Spot at = axes.at(axes.trim_low, i * drift_step);
    sheet.line({{at.x - 4, at.y}, {at.x, at.y}}, {0.8, internal::kBlack, {}, 0.0});
    sheet.text({at.x - 7, at.y}, signed_number(i * drift_step, drift_step < 1 ? 1 : 0), numbers,
               Anchor::kRight);
  }
  const double span = axes.trim_high - axes.trim_low;
  const double trim_step = std::max(1.0, round_step(span, 12));
  const int last_trim = static_cast<int>(std::floor(axes.trim_high / trim_step + 1e-9));
  for (int i = static_cast<int>(std::ceil(axes.trim_low / trim_step)); i <= last_trim; ++i) {
    const double t = i * trim_step;
    const Spot at{axes.at(t, 0).x, f.bottom};
    sheet.line({at, {at.x, at.y + 4}}, {0.8, internal::kBlack, {}, 0.0});
    sheet.text({at.x, at.y + 11}, signed_number(t), numbers, Anchor::kCentre);
  }
  sheet.text({(f.left + f.right) / 2, f.bottom + 27}, "trim",
             {9.5, true, internal::kBlack, 0.0, false}, Anchor::kCentre);
  sheet.turned_text({f.left - 46, (f.top + f.bottom) / 2}, 1.5707963267948966,
                    "drift: sideways after one metre, mm per m",
                    {9.5, true, internal::kBlack, 0.0, false});
}

// A little robot from above that drives upward and bends left (side 1) or right (side -1).
void draw_bending_robot(Sheet& sheet, const Spot& at, double side, const std::string& word) {
  std::vector<Spot> path;
  for (int i = 0; i <= 16; ++i) {
    const double angle = 0.9 * i / 16.0, radius = 34.0;
    path.push_back({at.x - side * radius * (1 - std::cos(angle)), at.y - radius * std::sin(angle)});
  }
  sheet.line(path, {1.2, internal::kBlack, {}, 0.0});
  const Spot& tip = path.back();
  const Spot& before = path[path.size() - 3];
  const double dx = tip.x - before.x, dy = tip.y - before.y, d = std::hypot(dx, dy);
  const double ux = dx / d, uy = dy / d;
  sheet.fill({{tip.x + 4 * ux, tip.y + 4 * uy},
              {tip.x - 2 * ux - 2.6 * uy, tip.y - 2 * uy + 2.6 * ux},
              {tip.x - 2 * ux + 2.6 * uy, tip.y - 2 * uy - 2.6 * ux}},
             internal::kBlack);
  sheet.fill_circle(at, 6.0, internal::kWhite);
  sheet.circle(at, 6.0, {0.9, internal::kBlack, {}, 0.0});
  for (const double wheel : {-6.0, 6.0})
    sheet.line({{at.x + wheel, at.y - 3}, {at.x + wheel, at.y + 3}},
               {2.2, internal::kBlack, {}, 0.0});
  sheet.text({at.x, at.y + 14}, word, {8.0, false, internal::kBlack, 0.0, false}, Anchor::kCentre);
}

void draw_curve(Sheet& sheet, const Axes& axes, const Truing& truing) {
  std::vector<Spot> mean, band, lower;
  for (const DriftAtTrim& d : truing.curve) {
    const double trim = d.trim.value;
    mean.push_back(axes.at(trim, d.drift_mm_per_m.mean));
    band.push_back(axes.at(trim, d.drift_mm_per_m.high));
    lower.push_back(axes.at(trim, d.drift_mm_per_m.low));
  }
  std::vector<Spot> outline = band;
  outline.insert(outline.end(), lower.rbegin(), lower.rend());
  sheet.clip(axes.frame);
  // Strokes across the curve, not along it.
  const bool falls = mean.size() > 1 && mean.back().y > mean.front().y;
  sheet.hatch(outline, 3.0, {0.4, internal::kComputed, {}, 0.0}, falls);
  sheet.line(band, {0.5, internal::kComputed, {}, 0.0});
  sheet.line(lower, {0.5, internal::kComputed, {}, 0.0});
  sheet.line(mean, {1.6, internal::kComputed, {}, 0.0});
  sheet.unclip();
}

// A pair of brackets that stand about the suggested trim at plus and minus the tolerance.
void draw_tolerance(Sheet& sheet, const Axes& axes, const TruingPicture& picture, LabelRoom& room) {
  const double trim = picture.truing.best_trim.value;
  const double half = 17.0, lip = 5.0;
  for (const double side : {1.0, -1.0}) {
    const Spot at = axes.at(trim, side * picture.tolerance_mm_per_m);
    sheet.line({{at.x - half, at.y + side * lip},
                {at.x - half, at.y},
                {at.x + half, at.y},
                {at.x + half, at.y + side * lip}},
               {1.6, internal::kBlack, {}, 0.0});
    room.take({at.x - half, at.y - lip, at.x + half, at.y + lip});
  }
  const Spot foot{axes.at(trim, 0).x, axes.frame.bottom};
  const Spot head{foot.x, axes.frame.top};
  sheet.line({foot, head}, {0.7, internal::kBlack, {1.0, 3.0}, 0.0});
  room.avoid({foot, head});
  const std::string text = "trim " + signed_number(trim);
  const TextStyle style{11.0, true, internal::kBlack, 0.0, true};
  const Box size = sheet.text_box(head, text, style, Anchor::kUpperLeft);
  const double x =
      std::clamp(head.x, axes.frame.left + size.width() / 2, axes.frame.right - size.width() / 2);
  room.take(sheet.text({x, axes.frame.top - 10}, text, style, Anchor::kCentre));
}

void draw_runs(Sheet& sheet, const Axes& axes, const Truing& truing, LabelRoom& room) {
  std::map<int, int> at_trim, drawn;
  for (const RunDrift& run : truing.run_drifts) ++at_trim[run.trim.value];
  sheet.clip(axes.frame.grown(8.0));
  std::vector<std::pair<Spot, int>> doubtful;
  for (const RunDrift& run : truing.run_drifts) {
    // Runs at one trim stand beside each other, a little apart.
    const int count = at_trim[run.trim.value], index = drawn[run.trim.value]++;
    const double gap = std::min(5.0, 24.0 / count);
    Spot at = axes.at(run.trim.value, run.drift_mm_per_m.mean);
    at.x += (index - (count - 1) / 2.0) * gap;
    const double high = axes.at(0, run.drift_mm_per_m.high).y;
    const double low = axes.at(0, run.drift_mm_per_m.low).y;
    sheet.line({{at.x, high}, {at.x, low}}, {0.45, internal::kBlack, {}, 0.0});
    const double arm = 3.6;
    sheet.line({{at.x - arm, at.y}, {at.x + arm, at.y}}, {1.3, internal::kBlack, {}, 0.0});
    sheet.line({{at.x, at.y - arm}, {at.x, at.y + arm}}, {1.3, internal::kBlack, {}, 0.0});
    room.take(Box{at.x, at.y, at.x, at.y}.grown(arm));
    if (run.doubtful) doubtful.emplace_back(at, run.row);
  }
  for (const auto& [at, row] : doubtful) {
    sheet.circle(at, 7.0, {1.2, internal::kDanger, {}, 0.0});
    room.take(Box{at.x, at.y, at.x, at.y}.grown(7.0));
  }
  sheet.unclip();
  for (const auto& [at, row] : doubtful) {
    const std::string text = fmt::format("row {}", row);
    const TextStyle style{8.5, true, internal::kDanger, 0.0, true};
    const Box size = sheet.text_box(at, text, style, Anchor::kUpperLeft);
    const Box place = room.place(at, size.width(), size.height(), {0, 0}, 8.0);
    sheet.text({place.left, place.top}, text, style);
  }
}

// How many decimals a person needs of a number known to `spread`.
std::string estimate_text(const Estimate& e) {
  const int decimals = std::fabs(e.high - e.low) < 4.0 ? 1 : 0;
  return fmt::format("{} mm/m  ({} to {})", signed_number(e.mean, decimals),
                     signed_number(e.low, decimals), signed_number(e.high, decimals));
}

void draw_column(Sheet& sheet, const TruingPicture& picture, const Box& column) {
  const Truing& t = picture.truing;
  double y = column.top;
  const auto words = [&](const std::string& text, double size, bool bold, double gap) {
    y = sheet.text({column.left, y}, text, {size, bold, internal::kBlack, column.width(), false})
            .bottom +
        gap;
  };
  words("Suggested trim " + signed_number(t.best_trim.value), 11.0, true, 3);
  words("drift " + estimate_text(t.drift_mm_per_m), 8.5, false, 1);
  words(fmt::format("within ±{:g} mm/m: {:.0f} %", picture.tolerance_mm_per_m,
                    std::floor(100 * t.in_tolerance_probability + 1e-9)),
        8.5, false, 8);
  if (!t.reason.empty()) words(internal::with_true_minus(t.reason), 8.5, false, 10);
  if (!t.doubtful_runs.empty()) {
    words("These readings fit badly", 9.5, true, 3);
    constexpr std::size_t kMostNamed = 6;
    for (std::size_t i = 0; i < t.doubtful_runs.size() && i < kMostNamed; ++i)
      words(fmt::format("row {}: {}", t.doubtful_runs[i].row,
                        internal::with_true_minus(t.doubtful_runs[i].because)),
            8.5, false, 3);
    if (t.doubtful_runs.size() > kMostNamed)
      words(fmt::format("and {} more", t.doubtful_runs.size() - kMostNamed), 8.5, false, 3);
  }
}

void draw_legend(Sheet& sheet, const TruingPicture& picture, const Box& column) {
  constexpr double kRow_pt = 17.0;
  double y = column.bottom - 4 * kRow_pt;
  const double left = column.left, right = column.left + 26, middle = column.left + 13;
  const auto row = [&](const std::string& words) {
    sheet.text({right + 8, y}, words, {8.0, false, internal::kBlack, 0.0, false}, Anchor::kLeft);
    y += kRow_pt;
  };
  const std::vector<Spot> band{{left, y - 6}, {right, y - 6}, {right, y + 6}, {left, y + 6}};
  sheet.hatch(band, 3.4, {0.35, internal::kComputed, {}, 0.0});
  sheet.line({{left, y}, {right, y}}, {1.6, internal::kComputed, {}, 0.0});
  row("drift by the model, 95 % band");
  sheet.line({{middle, y - 7}, {middle, y + 7}}, {0.45, internal::kBlack, {}, 0.0});
  sheet.line({{middle - 3.6, y}, {middle + 3.6, y}}, {1.3, internal::kBlack, {}, 0.0});
  sheet.line({{middle, y - 3.6}, {middle, y + 3.6}}, {1.3, internal::kBlack, {}, 0.0});
  row("one measured run, 95 %");
  sheet.circle({middle, y}, 6.0, {1.2, internal::kDanger, {}, 0.0});
  sheet.line({{middle - 3.6, y}, {middle + 3.6, y}}, {1.3, internal::kBlack, {}, 0.0});
  sheet.line({{middle, y - 3.6}, {middle, y + 3.6}}, {1.3, internal::kBlack, {}, 0.0});
  row("a run that fits badly");
  for (const double side : {-1.0, 1.0}) {
    sheet.line({{left + 2, y + side * 2},
                {left + 2, y + side * 5},
                {right - 2, y + side * 5},
                {right - 2, y + side * 2}},
               {1.6, internal::kBlack, {}, 0.0});
  }
  row(fmt::format("tolerance, ±{:g} mm/m", picture.tolerance_mm_per_m));
}

}  // namespace

Result<std::string> picture_of(const TruingPicture& picture, PictureKind kind) {
  const std::string title = picture.robot.name + ": truing";
  const std::string heading = picture.sentence.empty() ? title : picture.sentence;
  std::string details = fmt::format(
      "{}  ·  level {} forward  ·  {} straight run{} with readings  ·  track width {:g} mm",
      picture.robot.name, picture.robot.level_usual.value, picture.truing.run_drifts.size(),
      picture.truing.run_drifts.size() == 1 ? "" : "s", picture.robot.track_width.mm());
  if (!picture.made_on.empty()) details += "  ·  " + picture.made_on;
  Sheet sheet(kind, title, heading + "\n" + details, picture.made_on);

  const Box all = internal::draw_heading(sheet, heading, details, kHandAtTheEdge);
  const double y = all.top, right = all.right, foot = all.bottom;

  const double column_left = right - kTruingColumn_pt;
  const Box frame{kMargin_pt + 112, y + 26, column_left - 18, foot - 52};
  const Axes axes{frame, static_cast<double>(picture.robot.trim_range.lowest.value),
                  static_cast<double>(picture.robot.trim_range.highest.value),
                  drift_shown(picture)};
  LabelRoom room(frame.grown(14.0));
  draw_curve(sheet, axes, picture.truing);
  draw_axes(sheet, axes);
  draw_tolerance(sheet, axes, picture, room);
  draw_runs(sheet, axes, picture.truing, room);
  draw_bending_robot(sheet, {kMargin_pt + 26, frame.top + 62}, 1.0, "bends left");
  draw_bending_robot(sheet, {kMargin_pt + 26, frame.bottom - 22}, -1.0, "bends right");
  const Box column{column_left, y + 12, right, foot - 16};
  draw_column(sheet, picture, column);
  draw_legend(sheet, picture, column);
  return sheet.finish();
}

}  // namespace runtrue
