#include "files/run_json.h"

#include <cstdint>
#include <string>

namespace runtrue {
namespace {

using Need = ObjectReader::Need;

int whole(ObjectReader& object, std::string_view key) {
  constexpr std::int64_t kMost = 1000000000;  // further out is as wrong as this: check_run says so
  const std::int64_t value = object.whole_number(key, Need::kRequired).value_or(0);
  return static_cast<int>(value > kMost ? kMost : value < -kMost ? -kMost : value);
}

// A line and what was read there, or nothing; one without the other is an error.
std::optional<LineReading> reading(ObjectReader& object, const std::string& line_key,
                                   const std::string& sideways_key) {
  const auto line = object.number(line_key);
  const auto sideways = object.number(sideways_key);
  if (line && sideways) return LineReading{Length::from_mm(*line), Length::from_mm(*sideways)};
  if (line || sideways) {
    const std::string& there = line ? line_key : sideways_key;
    const PlacedJson* value = object.any(there);
    object.fail({ErrorKind::kBadInput,
                 there + " is filled without " + (line ? sideways_key : line_key) +
                     ", expected both or neither",
                 value->place()});
  }
  return std::nullopt;
}

}  // namespace

Json run_document(const Run& run) {
  Json document;
  document["kind"] = run.kind == RunKind::kStraight ? "straight" : "turn";
  document["level"] = run.level.value;
  document["trim"] = run.trim.value;
  if (run.time) document["seconds"] = exact_number(run.time->s());
  if (run.half) {
    document["half_line_mm"] = exact_number(run.half->line.mm());
    document["half_sideways_mm"] = exact_number(run.half->sideways.mm());
  }
  if (run.end) {
    document["line_mm"] = exact_number(run.end->line.mm());
    document["sideways_mm"] = exact_number(run.end->sideways.mm());
  }
  if (run.distance) document["distance_mm"] = exact_number(run.distance->mm());
  if (run.turned) document["turned_deg"] = exact_number(exact_degrees(*run.turned));
  if (run.battery_v) document["battery_v"] = exact_number(*run.battery_v);
  if (!run.surface.empty()) document["surface"] = run.surface;
  if (run.left_out) document["left_out"] = true;
  if (!run.note.empty()) document["note"] = run.note;
  return document;
}

Run run_from(ObjectReader& object) {
  Run run;
  const PlacedJson* kind_value = object.any("kind");
  const auto kind = object.text("kind", Need::kRequired);
  if (kind == "turn") {
    run.kind = RunKind::kTurn;
  } else if (kind && kind != "straight") {
    object.fail({ErrorKind::kBadInput, "kind is '" + *kind + "', expected straight or turn",
                 kind_value->place()});
  }
  run.level = Level{whole(object, "level")};
  run.trim = Trim{whole(object, "trim")};
  if (const auto s = object.number("seconds")) run.time = Duration::from_s(*s);
  run.half = reading(object, "half_line_mm", "half_sideways_mm");
  run.end = reading(object, "line_mm", "sideways_mm");
  if (const auto mm = object.number("distance_mm")) run.distance = Length::from_mm(*mm);
  if (const auto deg = object.number("turned_deg")) run.turned = Angle::from_deg(*deg);
  run.battery_v = object.number("battery_v");
  run.surface = object.text("surface").value_or("");
  run.left_out = object.boolean("left_out").value_or(false);
  run.note = object.text("note").value_or("");
  return run;
}

}  // namespace runtrue
