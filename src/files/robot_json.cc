#include "files/robot_json.h"

#include <fmt/format.h>

#include <cstdint>
#include <limits>
#include <utility>

#include "files/internal/points.h"

namespace runtrue {
namespace {

using Need = ObjectReader::Need;
using internal::points_document;
using internal::points_from;

// A number too large for an int is as wrong as one beyond its range: check_robot says so.
int clipped(std::int64_t value) {
  constexpr std::int64_t kMost = 1000000000;
  return static_cast<int>(value > kMost ? kMost : value < -kMost ? -kMost : value);
}

void read_trim_range(ObjectReader& object, Robot& robot) {
  const PlacedJson* range = object.list("trim_range", Need::kRequired);
  if (range == nullptr) return;
  const auto whole = [](const PlacedJson& item) {
    return item.kind == PlacedJson::Kind::kNumber &&
           item.number == static_cast<double>(clipped(
                              static_cast<std::int64_t>(item.number > 1e9    ? 1e9
                                                        : item.number < -1e9 ? -1e9
                                                                             : item.number)));
  };
  if (range->items.size() != 2 || !whole(range->items[0]) || !whole(range->items[1])) {
    object.fail({ErrorKind::kBadInput,
                 "trim_range is not [lowest, highest], expected two whole numbers",
                 range->place()});
    return;
  }
  robot.trim_range = {Trim{static_cast<int>(range->items[0].number)},
                      Trim{static_cast<int>(range->items[1].number)}};
}

void read_outline(ObjectReader& object, Robot& robot) {
  const PlacedJson* value = object.object("outline");
  if (value == nullptr) return;
  ObjectReader outline(*value);
  const auto radius = outline.number("circle_radius_mm");
  const PlacedJson* polygon = outline.list("polygon_mm");
  if (auto r = outline.finish(); !r) return object.fail(std::move(r).error());
  if (radius.has_value() == (polygon != nullptr)) {
    return object.fail(
        {ErrorKind::kBadInput,
         "outline has both or neither of circle_radius_mm and polygon_mm, expected one",
         value->place()});
  }
  if (radius) robot.outline.circle_radius = Length::from_mm(*radius);
  if (polygon != nullptr) {
    if (polygon->items.empty()) {
      return object.fail({ErrorKind::kBadInput,
                          "outline.polygon_mm is empty, expected at least 3 corners",
                          polygon->place()});
    }
    if (auto points = object.take(points_from(*polygon, "outline.polygon_mm"))) {
      robot.outline.polygon = *std::move(points);
    }
  }
}

void read_press(ObjectReader& object, Robot& robot) {
  const PlacedJson* value = object.object("press");
  if (value == nullptr) return;
  ObjectReader press(*value);
  if (const auto step = press.number("step_mm")) robot.press.step = Length::from_mm(*step);
  if (const auto turn = press.number("turn_deg")) robot.press.turn = Angle::from_deg(*turn);
  if (auto r = press.finish(); !r) object.fail(std::move(r).error());
}

void read_contacts(ObjectReader& object, const char* key, std::vector<Point>& contacts) {
  const PlacedJson* list = object.list(key);
  if (list == nullptr) return;
  if (auto points = object.take(points_from(*list, key))) contacts = *std::move(points);
}

}  // namespace

Result<Robot> robot_from(const PlacedJson& value) {
  ObjectReader object(value, "a robot's description in {}");
  const auto name = object.text("name", Need::kRequired);
  const auto track = object.number("track_width_mm", Need::kRequired);
  Robot robot = default_robot(name.value_or(""), Length::from_mm(track.value_or(0.0)));
  if (const auto mm = object.number("wheel_diameter_mm"))
    robot.wheel_diameter = Length::from_mm(*mm);
  if (const auto level = object.whole_number("level_full")) robot.level_full = {clipped(*level)};
  if (const auto level = object.whole_number("level_usual")) {
    robot.level_usual = {clipped(*level)};
  } else if (robot.level_usual > robot.level_full) {
    robot.level_usual = {(robot.level_full.value + 1) / 2};  // left out: half of what there is
  }
  read_trim_range(object, robot);
  if (const auto limit = object.whole_number("move_list_limit"))
    robot.move_list_limit = clipped(*limit);
  read_outline(object, robot);
  read_contacts(object, "wheels_mm", robot.wheels);
  read_contacts(object, "castors_mm", robot.castors);
  if (const auto step = object.number("hold_timeout_step_s"))
    robot.hold_timeout_step = Duration::from_s(*step);
  read_press(object, robot);
  if (auto r = object.finish(); !r) return tl::unexpected(std::move(r).error());
  if (auto r = check_robot(robot); !r) {
    Error error = std::move(r).error();
    error.place = place_of_named(value, error.message);
    return tl::unexpected(std::move(error));
  }
  return robot;
}

Result<Robot> read_robot(std::string_view text, std::string_view file_name) {
  auto value = parse_json(text);
  if (!value) return tl::unexpected(std::move(value).error().in_file(file_name));
  auto robot = robot_from(*value);
  if (!robot) return tl::unexpected(std::move(robot).error().in_file(file_name));
  return robot;
}

Json robot_document(const Robot& robot) {
  Json outline;
  if (robot.outline.polygon.empty()) {
    outline["circle_radius_mm"] = exact_number(robot.outline.circle_radius.mm());
  } else {
    outline["polygon_mm"] = points_document(robot.outline.polygon);
  }
  return Json{
      {"name", robot.name},
      {"track_width_mm", exact_number(robot.track_width.mm())},
      {"wheel_diameter_mm", exact_number(robot.wheel_diameter.mm())},
      {"level_full", robot.level_full.value},
      {"level_usual", robot.level_usual.value},
      {"trim_range", Json::array({robot.trim_range.lowest.value, robot.trim_range.highest.value})},
      {"move_list_limit", robot.move_list_limit},
      {"outline", outline},
      {"wheels_mm", points_document(robot.wheels)},
      {"castors_mm", points_document(robot.castors)},
      {"hold_timeout_step_s", exact_number(robot.hold_timeout_step.s())},
      {"press",
       {{"step_mm", exact_number(robot.press.step.mm())},
        {"turn_deg", exact_number(exact_degrees(robot.press.turn))}}}};
}

std::string write_robot(const Robot& robot) { return document_text(robot_document(robot)); }

}  // namespace runtrue
