#include "files/answers.h"

#include <algorithm>
#include <cmath>

#include "forecast/words.h"

namespace runtrue {
namespace {

Json point_pair(const Point& point) {
  return Json::array({rounded_number(point.x.mm()), rounded_number(point.y.mm())});
}

Json pose_triple(const Pose& pose) {
  return Json::array({rounded_number(pose.x.mm()), rounded_number(pose.y.mm()),
                      rounded_number(pose.heading.wrapped().deg())});
}

Json assumed_document(const std::vector<Constant>& assumed) {
  Json keys = Json::array();
  for (const Constant constant : assumed) keys.push_back(text_of(constant).key);
  return keys;
}

Json next_run_document(const NextRun& next) {
  Json document{{"kind", next.kind == RunKind::kStraight ? "straight" : "turn"},
                {"level", next.level.value},
                {"trim", next.trim.value}};
  if (next.kind == RunKind::kTurn) {
    document["seconds"] = rounded_number(next.time.s());
    document["direction"] = next.to_the_left ? "left" : "right";
  } else if (next.time > Duration()) {
    document["seconds"] = rounded_number(next.time.s());
  } else {
    document["half_line_mm"] = rounded_number(next.half_line.mm());
    document["line_mm"] = rounded_number(next.line.mm());
  }
  return document;
}

const char* word_of_mishap(Mishap mishap) {
  switch (mishap) {
    case Mishap::kNone:
      return "none";
    case Mishap::kFalls:
      return "falls";
    case Mishap::kBumps:
      return "bumps";
  }
  return "";
}

Json moves_document(const Forecast& forecast, const std::vector<CompiledMove>& moves) {
  Json document = Json::array();
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const CompiledMove& move = moves[i];
    Json one{{"text", move.text},
             {"line", move.line},
             {"left_level", move.command.left.value},
             {"right_level", move.command.right.value},
             {"milliseconds", move.command.milliseconds},
             {"untrued", move.untrued}};
    if (i < forecast.moves.size()) {
      const MoveOutlook& outlook = forecast.moves[i];
      one["end_pose"] = pose_document(outlook.nominal_end);
      one["fall_probability"] = rounded_number(outlook.fall_probability);
      one["bump_probability"] = rounded_number(outlook.bump_probability);
      one["clearance_mm"] = rounded_number(outlook.clearance.mm());
    }
    document.push_back(std::move(one));
  }
  return document;
}

Json risky_move_document(const Forecast& forecast, const std::vector<CompiledMove>& moves) {
  if (!forecast.first_risky_move) return nullptr;
  const RiskyMove& risky = *forecast.first_risky_move;
  const auto& move = moves.at(static_cast<std::size_t>(risky.index));
  return {{"move", risky.index + 1},
          {"line", move.line},
          {"text", move.text},
          {"mishap", word_of_mishap(risky.mishap)},
          {"probability", rounded_number(risky.probability)},
          {"x_mm", rounded_number(risky.where.x.mm())},
          {"y_mm", rounded_number(risky.where.y.mm())}};
}

Json closing_document(const Forecast& forecast) {
  if (!forecast.closing) return nullptr;
  return {{"median_mm", rounded_number(forecast.closing->median.mm())},
          {"within_95_mm", rounded_number(forecast.closing->within_95.mm())},
          {"nominal_heading_deg", rounded_number(forecast.closing->nominal_heading.deg())}};
}

Json gain_document(const MeasurementGain& gain) {
  return {{"what", word_of(gain.what)},
          {"level", gain.level.value},
          {"runs", gain.runs},
          {"mishap_probability", probability_document(gain.mishap)},
          {"end_spread_mm", rounded_number(gain.end_spread.mm())}};
}

}  // namespace

Json estimate_document(const Estimate& estimate) {
  return {{"mean", rounded_number(estimate.mean)},
          {"low", rounded_number(estimate.low)},
          {"high", rounded_number(estimate.high)}};
}

Json probability_document(const Probability& probability) {
  return {{"mean", rounded_number(probability.mean)},
          {"low", rounded_number(probability.low)},
          {"high", rounded_number(probability.high)}};
}

Json pose_document(const Pose& pose) {
  return {{"x_mm", rounded_number(pose.x.mm())},
          {"y_mm", rounded_number(pose.y.mm())},
          {"heading_deg", rounded_number(pose.heading.wrapped().deg())}};
}

Json advice_document(const Robot& robot, const Truing& truing) {
  Json rows = Json::array(), because = Json::array();
  for (const DoubtfulRun& doubtful : truing.doubtful_runs) {
    rows.push_back(doubtful.row);
    because.push_back({{"row", doubtful.row}, {"because", doubtful.because}});
  }
  return {{"robot", robot.name},
          {"best_trim", truing.best_trim.value},
          {"drift_mm_per_m", estimate_document(truing.drift_mm_per_m)},
          {"in_tolerance_probability", rounded_number(truing.in_tolerance_probability)},
          {"verdict", word_of(truing.verdict)},
          {"reason", truing.reason},
          {"next_run", truing.next_run ? next_run_document(*truing.next_run) : Json(nullptr)},
          {"doubtful_runs", rows},
          {"doubtful_because", because},
          {"assumed", assumed_document(truing.settings.assumed)}};
}

Json settings_document(const Robot& robot, const Truing& truing) {
  Json document{{"robot", robot.name},
                {"trim", truing.settings.trim.value},
                {"level", robot.level_usual.value}};
  const auto& assumed = truing.settings.assumed;
  for (int i = 0; i < kConstantCount; ++i) {
    const auto constant = static_cast<Constant>(i);
    const ConstantText& text = text_of(constant);
    Json one{{"unit", text.unit}};
    one.update(estimate_document(truing.constants[static_cast<std::size_t>(i)]));
    one["meaning"] = text.meaning;
    one["assumed"] = std::find(assumed.begin(), assumed.end(), constant) != assumed.end();
    document[text.key] = std::move(one);
  }
  const DriveScatter& scatter = truing.settings.scatter;
  document["scatter"] = {
      {"curvature_per_mm", rounded_number(scatter.curvature_per_mm)},
      {"drift_mm_per_m",
       rounded_number(drift_mm_per_m(Curvature::from_per_mm(scatter.curvature_per_mm)))},
      {"distance_ratio", rounded_number(scatter.distance_ratio)},
      {"turn_ratio", rounded_number(scatter.turn_ratio)}};
  document["trued_levels"] = Json::array();
  for (const Level level : truing.settings.trued_levels)
    document["trued_levels"].push_back(level.value);
  document["assumed"] = assumed_document(assumed);
  return document;
}

Json forecast_document(const Forecast& forecast, const std::vector<CompiledMove>& moves,
                       const DriveSettings& settings, const std::optional<SafeStart>& safest) {
  Json end = pose_document(forecast.nominal_end);
  end["covariance"] = Json::array();
  for (std::size_t row = 0; row < 3; ++row) {
    Json one = Json::array();
    for (std::size_t column = 0; column < 3; ++column)
      one.push_back(rounded_number(forecast.end_covariance[3 * row + column]));
    end["covariance"].push_back(std::move(one));
  }
  Json start = nullptr;
  if (safest) {
    start = pose_document(safest->start);
    start["mishap_probability"] = probability_document(safest->mishap);
  }
  return {{"fall_probability", probability_document(forecast.fall)},
          {"bump_probability", probability_document(forecast.bump)},
          {"end_pose", end},
          {"first_risky_move", risky_move_document(forecast, moves)},
          {"moves", moves_document(forecast, moves)},
          {"closing", closing_document(forecast)},
          {"trim", settings.trim.value},
          {"safest_start", start},
          {"assumed", assumed_document(settings.assumed)},
          {"samples", forecast.samples},
          {"seed", forecast.seed}};
}

Json remedies_document(const Remedies& remedies) {
  Json document{{"largest_scale", nullptr},
                {"needed_level", nullptr},
                {"measurements", Json::array()},
                {"best_measurement", nullptr},
                {"mishap_probability", probability_document(remedies.mishap)},
                {"end_spread_mm", rounded_number(remedies.end_spread.mm())},
                {"words", remedy_words(remedies)},
                {"samples", remedies.samples}};
  if (const auto& scale = remedies.largest_scale) {
    document["largest_scale"] = {{"ratio", rounded_number(scale->ratio)},
                                 {"mishap_probability", probability_document(scale->mishap)}};
  }
  if (const auto& slowed = remedies.needed_level) {
    document["needed_level"] = {{"level", slowed->level.value},
                                {"mishap_probability", probability_document(slowed->mishap)}};
  }
  for (const MeasurementGain& gain : remedies.measurements) {
    document["measurements"].push_back(gain_document(gain));
  }
  if (const auto* best = remedies.best_measurement()) {
    document["best_measurement"] = gain_document(*best);
  }
  return document;
}

void add_forecast_paths(Json& document, const Forecast& forecast) {
  document["nominal_path"] = Json::array();
  for (const Pose& pose : forecast.nominal_path)
    document["nominal_path"].push_back(pose_triple(pose));
  document["sample_paths"] = Json::array();
  for (const auto& path : forecast.sample_paths) {
    Json points = Json::array();
    for (const Pose& pose : path) points.push_back(point_pair({pose.x, pose.y}));
    document["sample_paths"].push_back(std::move(points));
  }
  document["region_95"] = Json::array();
  for (const Point& point : forecast.region_95) document["region_95"].push_back(point_pair(point));
  document["move_ends"] = Json::array();
  for (const MoveOutlook& move : forecast.moves)
    document["move_ends"].push_back(pose_triple(move.nominal_end));
}

Json curve_document(const Truing& truing) {
  Json document = Json::array();
  for (const DriftAtTrim& at : truing.curve) {
    Json one{{"trim", at.trim.value}};
    one.update(estimate_document(at.drift_mm_per_m));
    one["in_tolerance_probability"] = rounded_number(at.in_tolerance_probability);
    document.push_back(std::move(one));
  }
  return document;
}

Json run_drifts_document(const Truing& truing) {
  Json document = Json::array();
  for (const RunDrift& run : truing.run_drifts) {
    Json one{{"row", run.row}, {"trim", run.trim.value}, {"level", run.level.value}};
    one.update(estimate_document(run.drift_mm_per_m));
    one["aim_deg"] = rounded_number(run.aim_deg);
    one["doubtful"] = run.doubtful;
    document.push_back(std::move(one));
  }
  return document;
}

}  // namespace runtrue
