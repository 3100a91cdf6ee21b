#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
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
using internal::cut_to;
using internal::draw_dimensions;
using internal::draw_edge;
using internal::draw_heading;
using internal::draw_obstacles;
using internal::draw_robot;
using internal::draw_scale_bar;
using internal::draw_start_mark;
using internal::kMargin_pt;
using internal::LabelRoom;
using internal::PlanScale;
using internal::Sheet;
using internal::Spot;
using internal::TextStyle;

constexpr double kForecastColumn_pt = 176.0;
constexpr double kColumnGap_pt = 16.0;

const char* word_of(Mishap mishap) {
  switch (mishap) {
    case Mishap::kFalls:
      return "falls";
    case Mishap::kBumps:
      return "bumps";
    case Mishap::kNone:
      break;
  }
  return "";
}

// The first place of `nominal_path` that lies past each move, as a count of poses. The path holds
// every move's end as one of its poses; where rounding hides it the nearest pose ahead is taken.
std::vector<std::size_t> ends_along(const Forecast& forecast) {
  std::vector<std::size_t> ends;
  std::size_t from = 0;
  for (const MoveOutlook& move : forecast.moves) {
    std::size_t best = from;
    double least = -1.0;
    for (std::size_t i = from; i < forecast.nominal_path.size(); ++i) {
      const Pose& p = forecast.nominal_path[i];
      const double off =
          std::hypot((p.x - move.nominal_end.x).mm(), (p.y - move.nominal_end.y).mm()) +
          100.0 * std::fabs((p.heading - move.nominal_end.heading).rad());
      if (least < 0 || off < least - 1e-9) {
        least = off;
        best = i;
      }
      if (off < 1e-6) break;
    }
    ends.push_back(best);
    from = best;
  }
  return ends;
}

// What the plan has to show: the table, and the computed path where it leaves the table, up to a
// tenth of the table's size beyond.
internal::Extent_mm shown_extent(const ForecastPicture& picture) {
  const internal::Extent_mm table = internal::extent_of(picture.table);
  internal::Extent_mm shown = table;
  const double beyond_mm = 0.1 * std::max(table.width(), table.depth());
  for (const Pose& p : picture.forecast.nominal_path) {
    shown.include(
        {Length::from_mm(std::clamp(p.x.mm(), table.x_low - beyond_mm, table.x_high + beyond_mm)),
         Length::from_mm(std::clamp(p.y.mm(), table.y_low - beyond_mm, table.y_high + beyond_mm))});
  }
  return shown;
}

void draw_paths(Sheet& sheet, const PlanScale& scale, const Forecast& forecast) {
  // Dots a little apart, begun elsewhere on every path, make one even stipple of them all.
  int index = 0;
  for (const std::vector<Pose>& path : forecast.sample_paths) {
    constexpr double kDotGap_pt = 4.6;
    const double offset = std::fmod(index++ * 1.7, kDotGap_pt);
    sheet.line(scale.at(path), {0.75, internal::kPale, {0.0, kDotGap_pt}, offset});
  }
  sheet.line(scale.at(forecast.region_95), {1.0, internal::kComputed, {5.0, 3.0}, 0.0}, true);
  sheet.line(scale.at(forecast.nominal_path), {1.5, internal::kComputed, {}, 0.0});
  if (forecast.nominal_path.size() < 2) return;
  // Where it ends, an arrowhead that looks the way the robot then looks.
  const Spot end = scale.at(forecast.nominal_end);
  const double c = std::cos(forecast.nominal_end.heading.rad());
  const double s = std::sin(forecast.nominal_end.heading.rad());
  const double length = 8.0, half = 3.6;
  sheet.fill({{end.x + c * length, end.y - s * length},
              {end.x - s * half, end.y - c * half},
              {end.x + s * half, end.y + c * half}},
             internal::kComputed);
}

bool moves_anything(const CompiledMove& move) {
  return move.command.left.value != 0 || move.command.right.value != 0;
}

// "3", "2, 6, 10", "1, 5 … 37": numbers of moves that meet at one place.
std::string joined(const std::vector<int>& numbers) {
  if (numbers.size() > 4) return fmt::format("{}, {} … {}", numbers[0], numbers[1], numbers.back());
  std::string text;
  for (const int n : numbers) text += (text.empty() ? "" : ", ") + std::to_string(n);
  return text;
}

// The middle of each move's path with its number; moves whose middles lie together share a label.
void draw_move_numbers(Sheet& sheet, const PlanScale& scale, const ForecastPicture& picture,
                       const Box& frame, LabelRoom& room) {
  struct Group {
    Spot at;
    Spot side;
    std::vector<int> numbers;
  };
  constexpr double kTogether_pt = 8.0;
  std::vector<Group> groups;
  const std::vector<Pose>& path = picture.forecast.nominal_path;
  const std::vector<std::size_t> ends = ends_along(picture.forecast);
  std::size_t from = 0;
  for (std::size_t m = 0; m < ends.size() && m < picture.moves.size(); ++m) {
    const std::size_t middle = (from + ends[m]) / 2;
    from = ends[m];
    if (middle >= path.size() || !moves_anything(picture.moves[m])) continue;
    const Spot at = scale.at(path[middle]);
    const double heading = path[middle].heading.rad();
    const auto same = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
      return std::hypot(g.at.x - at.x, g.at.y - at.y) < kTogether_pt;
    });
    if (same != groups.end()) {
      same->numbers.push_back(static_cast<int>(m) + 1);
    } else {
      groups.push_back({at, {-std::sin(heading), -std::cos(heading)}, {static_cast<int>(m) + 1}});
    }
  }
  const TextStyle style{8.5, false, internal::kComputed, 0.0, false};
  for (const Group& group : groups) {
    if (!frame.holds(group.at)) continue;
    const std::string text = joined(group.numbers);
    const Box size = sheet.text_box(group.at, text, style, Anchor::kUpperLeft);
    const Box place = room.place(group.at, size.width(), size.height(), group.side, 2.5);
    sheet.text({place.left, place.top}, text, style);
    const Spot centre{(place.left + place.right) / 2, (place.top + place.bottom) / 2};
    // Far from its move, a number needs a line to it.
    const double gap = std::hypot(centre.x - group.at.x, centre.y - group.at.y) -
                       std::hypot(size.width(), size.height()) / 2;
    if (gap > 9.0) {
      const Spot near{std::clamp(group.at.x, place.left, place.right),
                      std::clamp(group.at.y, place.top, place.bottom)};
      sheet.line({near, group.at}, {0.35, internal::kComputed, {}, 0.0});
    }
  }
}

// A wedge whose tip stands where the list first goes wrong, from its number and word.
void draw_wedge(Sheet& sheet, const PlanScale& scale, const ForecastPicture& picture,
                LabelRoom& room) {
  if (!picture.forecast.first_risky_move) return;
  const RiskyMove& risky = *picture.forecast.first_risky_move;
  const Spot tip = scale.at(risky.where);
  Spot toward{0, -1};
  const auto feet = internal::feet_on_edge(picture.table, risky.where);
  if (risky.mishap == Mishap::kFalls && !feet.empty())
    toward = {feet[0].outward.x.mm(), -feet[0].outward.y.mm()};
  const std::string text = fmt::format("{} {}", risky.index + 1, word_of(risky.mishap));
  const TextStyle style{11.0, true, internal::kDanger, 0.0, true};
  const Box size = sheet.text_box(tip, text, style, Anchor::kUpperLeft);
  const Box place = room.place(tip, size.width(), size.height(), toward, 15.0);
  const Spot centre{(place.left + place.right) / 2, (place.top + place.bottom) / 2};
  const double dx = centre.x - tip.x, dy = centre.y - tip.y, reach = std::hypot(dx, dy);
  const double half_base = 4.5;
  const Spot side{-dy / reach * half_base, dx / reach * half_base};
  sheet.fill({tip, {centre.x + side.x, centre.y + side.y}, {centre.x - side.x, centre.y - side.y}},
             internal::kDanger);
  sheet.text({place.left, place.top}, text, style);
}

// The list of moves as one row a move, or, when that is too long, one row a line of the text.
struct MoveRow {
  std::string numbers;
  std::string text;
  bool risky = false;
};

std::vector<MoveRow> move_rows(const ForecastPicture& picture, std::size_t most) {
  std::vector<MoveRow> rows;
  const auto& risky = picture.forecast.first_risky_move;
  const auto text_of_move = [](const CompiledMove& m) {
    return m.untrued.empty() ? m.text : m.text + " †";
  };
  if (picture.moves.size() <= most) {
    for (std::size_t m = 0; m < picture.moves.size(); ++m) {
      rows.push_back({std::to_string(m + 1), text_of_move(picture.moves[m]),
                      risky && risky->index == static_cast<int>(m)});
    }
    return rows;
  }
  std::map<int, std::size_t> row_of_line;
  std::vector<std::vector<int>> numbers;
  for (std::size_t m = 0; m < picture.moves.size(); ++m) {
    const auto [found, fresh] = row_of_line.try_emplace(picture.moves[m].line, rows.size());
    if (fresh) {
      rows.push_back({"", text_of_move(picture.moves[m]), false});
      numbers.emplace_back();
    }
    numbers[found->second].push_back(static_cast<int>(m) + 1);
    rows[found->second].risky |= risky && risky->index == static_cast<int>(m);
  }
  for (std::size_t r = 0; r < rows.size(); ++r) rows[r].numbers = joined(numbers[r]);
  return rows;
}

void draw_move_list(Sheet& sheet, const ForecastPicture& picture, const Box& column) {
  constexpr double kRow_pt = 11.6;
  double y = column.top;
  sheet.text({column.left, y}, "Moves", {10.0, true, internal::kBlack, 0.0, false});
  y += 16.0;
  std::vector<std::string> notes;
  for (const CompiledMove& m : picture.moves) {
    if (!m.untrued.empty() && std::find(notes.begin(), notes.end(), m.untrued) == notes.end())
      notes.push_back(m.untrued);
  }
  constexpr std::size_t kMostNotes = 3;
  notes.resize(std::min(notes.size(), kMostNotes));
  const double room = column.bottom - y - 20.0 * static_cast<double>(notes.size());
  const auto most = static_cast<std::size_t>(std::max(room / kRow_pt, 2.0));
  const std::vector<MoveRow> rows = move_rows(picture, most);
  const std::size_t shown = rows.size() <= most ? rows.size() : most - 1;
  double numbers_width = 14.0;
  for (std::size_t r = 0; r < shown; ++r) {
    const TextStyle style{8.5, true, internal::kBlack, 0.0, false};
    numbers_width = std::max(
        numbers_width, sheet.text_box({}, rows[r].numbers, style, Anchor::kUpperLeft).width());
  }
  for (std::size_t r = 0; r < shown; ++r) {
    const TextStyle style{8.5, rows[r].risky, rows[r].risky ? internal::kDanger : internal::kBlack,
                          0.0, false};
    sheet.text({column.left + numbers_width, y}, rows[r].numbers, style, Anchor::kUpperRight);
    const std::string word =
        rows[r].risky ? fmt::format("  ◂ {}", word_of(picture.forecast.first_risky_move->mishap))
                      : "";
    const double left = column.left + numbers_width + 8;
    const double word_width = sheet.text_box({}, word, style, Anchor::kUpperLeft).width();
    const std::string text = cut_to(sheet, rows[r].text, style, column.right - left - word_width);
    sheet.text({left, y}, text + word, style);
    y += kRow_pt;
  }
  if (shown < rows.size()) {
    sheet.text({column.left + numbers_width + 8, y},
               fmt::format("and {} more lines", rows.size() - shown),
               {8.5, false, internal::kGrey, 0.0, false});
    y += kRow_pt;
  }
  y += 3;
  for (const std::string& note : notes) {
    y = sheet
            .text({column.left, y}, "† " + note,
                  {7.5, false, internal::kBlack, column.width(), false})
            .bottom +
        1;
  }
}

void draw_legend(Sheet& sheet, const ForecastPicture& picture, const Box& column) {
  constexpr double kRow_pt = 14.0, kSample_pt = 26.0;
  double y = column.top + 6;
  const auto row = [&](const std::string& words) {
    sheet.text({column.left + kSample_pt + 8, y}, words, {8.0, false, internal::kBlack, 0.0, false},
               Anchor::kLeft);
    y += kRow_pt;
  };
  const double left = column.left, right = column.left + kSample_pt;
  sheet.line({{left, y}, {right, y}}, {1.5, internal::kComputed, {}, 0.0});
  row("path by the mean constants");
  for (int i = -1; i <= 1; ++i) {
    sheet.line({{left, y + 2.4 * i}, {right, y + 2.4 * i}},
               {0.75, internal::kPale, {0.0, 4.6}, 1.7 * i + 2.0});
  }
  row(fmt::format("{} of {} sample paths", picture.forecast.sample_paths.size(),
                  internal::grouped(picture.forecast.samples)));
  sheet.line({{left, y}, {right, y}}, {1.0, internal::kComputed, {5.0, 3.0}, 0.0});
  row("holds 95 % of the ends");
  sheet.line({{left, y}, {right, y}}, {2.4, internal::kBlack, {}, 0.0});
  const std::vector<TableSide> sides = sides_of(picture.table);
  const bool walled =
      std::all_of(sides.begin(), sides.end(), [](const TableSide& side) { return side.walled; });
  if (!walled) {
    const int strokes = static_cast<int>((right - left - 3) / 6);
    for (int i = 0; i <= strokes; ++i) {
      const double x = left + 3 + 6 * i;
      sheet.line({{x, y}, {x, y - 5}}, {0.8, internal::kBlack, {}, 0.0});
    }
  }
  row(walled ? "wall" : "edge it can fall from");
  if (picture.forecast.first_risky_move) {
    sheet.fill({{left, y}, {right, y - 4}, {right, y + 4}}, internal::kDanger);
    row("where it goes wrong first");
  }
}

std::string details_of(const ForecastPicture& picture) {
  std::string text = picture.robot.name;
  if (!picture.table.name.empty()) text += fmt::format(" on the table “{}”", picture.table.name);
  text += fmt::format("  ·  trim {}  ·  {} move{}  ·  {} samples, seed {}",
                      internal::signed_number(picture.trim.value), picture.moves.size(),
                      picture.moves.size() == 1 ? "" : "s",
                      internal::grouped(picture.forecast.samples), picture.forecast.seed);
  if (!picture.made_on.empty()) text += "  ·  " + picture.made_on;
  return text;
}

}  // namespace

Result<std::string> picture_of(const ForecastPicture& picture, PictureKind kind) {
  const std::string title = picture.robot.name + ": forecast" +
                            (picture.table.name.empty() ? "" : " on " + picture.table.name);
  const std::string details = details_of(picture);
  const std::string heading = picture.sentence.empty() ? title : picture.sentence;
  Sheet sheet(kind, title, heading + "\n" + details, picture.made_on);
  const Box all = draw_heading(sheet, heading, details, kHandAtTheEdge);
  const double y = all.top + 10, right = all.right, foot = all.bottom;

  const double column_left = right - kForecastColumn_pt;
  const Box frame{kMargin_pt, y, column_left - kColumnGap_pt, foot - 46};
  const PlanScale scale(shown_extent(picture), frame, 30.0);
  LabelRoom room(frame);
  room.avoid(scale.at(picture.forecast.nominal_path));
  std::vector<Spot> region = scale.at(picture.forecast.region_95);
  if (!region.empty()) region.push_back(region.front());
  room.avoid(region);

  sheet.clip(frame);
  draw_robot(sheet, scale, picture.robot, picture.start, room);
  draw_paths(sheet, scale, picture.forecast);
  sheet.unclip();
  draw_edge(sheet, scale, picture.table, room);
  draw_dimensions(sheet, scale, picture.table, room);
  draw_obstacles(sheet, scale, picture.table, room);
  draw_start_mark(sheet, scale, picture.table, picture.start, room);
  draw_wedge(sheet, scale, picture, room);
  draw_move_numbers(sheet, scale, picture, frame, room);
  draw_scale_bar(sheet, scale, {kMargin_pt + 4, foot - 18});

  const double legend_height = picture.forecast.first_risky_move ? 76.0 : 62.0;
  draw_move_list(sheet, picture, {column_left, y, right, foot - legend_height - 22});
  draw_legend(sheet, picture, {column_left, foot - legend_height - 10, right, foot - 10});
  return sheet.finish();
}

}  // namespace runtrue
