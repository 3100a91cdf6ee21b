// The routes of tables, move lists and forecasts.
#include <optional>
#include <vector>

#include "files/answers.h"
#include "files/move_answers.h"
#include "files/table_json.h"
#include "forecast/forecast.h"
#include "forecast/remedies.h"
#include "forecast/words.h"
#include "moves/compile.h"
#include "moves/move_list.h"
#include "moves/press_list.h"
#include "server/request_body.h"
#include "server/set_service.h"

namespace runtrue {
namespace {

using Need = ObjectReader::Need;

struct NamedText {
  std::string name;
  std::string text;
};

Result<NamedText> named_text_in(const PlacedJson& body) {
  ObjectReader reader(body, "a move list");
  NamedText list;
  list.name = reader.text("name", Need::kRequired).value_or("");
  list.text = reader.text("text", Need::kRequired).value_or("");
  if (auto good = reader.finish(); !good) return tl::unexpected(good.error());
  if (list.text.size() > kMostBytes) {
    return bad_input("text is longer than " + std::to_string(kMostBytes) + " bytes");
  }
  return list;
}

// What is wrong with a move list as one sentence about the field "text".
Error about_text(Error error) {
  if (error.place.line > 0) {
    error.message = "text, line " + std::to_string(error.place.line) + ": " + error.message;
  }
  error.place = {};
  return error;
}

struct PlannedList {
  std::vector<FlatMove> flat;
  std::vector<CompiledMove> compiled;
};

Result<PlannedList> moves_in(const std::string& text, const RobotState& state) {
  auto moves = [&]() -> Result<PlannedList> {
    RUNTRUE_TRY(const MoveList list, parse_moves(text, ""));
    RUNTRUE_TRY(std::vector<FlatMove> flat, flatten(list));
    RUNTRUE_TRY(auto compiled, compile_moves(flat, state.robot, state.truing.settings));
    return PlannedList{std::move(flat), std::move(compiled)};
  }();
  if (!moves) return tl::unexpected(about_text(std::move(moves).error()));
  return moves;
}

Pose pose_in(const PlacedJson& value, ObjectReader& outer) {
  ObjectReader reader(value, "a start");
  Pose pose;
  pose.x = Length::from_mm(reader.number("x_mm", Need::kRequired).value_or(0.0));
  pose.y = Length::from_mm(reader.number("y_mm", Need::kRequired).value_or(0.0));
  pose.heading = Angle::from_deg(reader.number("heading_deg", Need::kRequired).value_or(0.0));
  if (auto good = reader.finish(); !good) outer.fail(good.error());
  return pose;
}

// Holds one of the places for those that compute a forecast.
class TakesTurn {
 public:
  explicit TakesTurn(std::counting_semaphore<kForecastsAtOnce>& places) : places_(places) {
    places_.acquire();
  }
  ~TakesTurn() { places_.release(); }
  TakesTurn(const TakesTurn&) = delete;
  TakesTurn& operator=(const TakesTurn&) = delete;

 private:
  std::counting_semaphore<kForecastsAtOnce>& places_;
};

Json faults_document(const std::vector<Error>& faults) {
  Json list = Json::array();
  for (const Error& fault : faults) {
    list.push_back(
        {{"line", fault.place.line}, {"column", fault.place.column}, {"message", fault.message}});
  }
  return list;
}

Json move_entry(const CompiledMove& move) {
  return {{"line", move.line},
          {"text", move.text},
          {"milliseconds", move.command.milliseconds},
          {"left_level", move.command.left.value},
          {"right_level", move.command.right.value},
          {"untrued", move.untrued}};
}

}  // namespace

SetService::Answer SetService::read_table(const Call& call) {
  RUNTRUE_TRY(const Table table, record_.table(call.id));
  Json answer = {{"id", call.id}};
  answer.update(table_document(table));
  answer["sides"] = sides_document(table);
  return answer;
}

SetService::Answer SetService::add_table(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const Table table, table_from(body));
  RUNTRUE_TRY(const Added added, record_.add_table(table, stamp()));
  return Json{{"change", added.change}, {"id", added.id}};
}

SetService::Answer SetService::change_table(const Call& call) {
  RUNTRUE_TRY(PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const auto based_on, take_based_on(body, call.id));
  // As it was read: where the table ends follows from the rest.
  std::erase_if(body.members, [](const PlacedMember& member) { return member.key == "sides"; });
  RUNTRUE_TRY(const Table table, table_from(body));
  RUNTRUE_TRY(const ChangeNumber change, record_.change_table(call.id, table, stamp(), based_on));
  return Json{{"change", change}, {"id", call.id}};
}

SetService::Answer SetService::read_list(const Call& call) {
  RUNTRUE_TRY(const KeptList list, record_.list(call.id));
  return Json{{"id", list.id}, {"name", list.name}, {"text", list.text}};
}

SetService::Answer SetService::add_list(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const NamedText list, named_text_in(body));
  RUNTRUE_TRY(const Added added, record_.add_list(list.name, list.text, stamp()));
  return Json{{"change", added.change}, {"id", added.id}};
}

SetService::Answer SetService::change_list(const Call& call) {
  RUNTRUE_TRY(PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const auto based_on, take_based_on(body, call.id));
  RUNTRUE_TRY(const NamedText list, named_text_in(body));
  RUNTRUE_TRY(const ChangeNumber change,
              record_.change_list(call.id, list.name, list.text, stamp(), based_on));
  return Json{{"change", change}, {"id", call.id}};
}

SetService::Answer SetService::check_list(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  ObjectReader reader(body);
  const std::string text = reader.text("text", Need::kRequired).value_or("");
  const RecordId robot_id = reader.whole_number("robot_id", Need::kRequired).value_or(0);
  if (auto good = reader.finish(); !good) return tl::unexpected(good.error());
  RUNTRUE_TRY(const RobotStateRef state, state_of(robot_id));

  const CheckedMoves checked = check_moves(text, "");
  Json answer = {{"faults", faults_document(checked.faults)},
                 {"moves", Json::array()},
                 {"press_list", nullptr},
                 {"press_faults", Json::array()}};
  if (!checked.faults.empty()) return answer;
  RUNTRUE_TRY(const std::vector<FlatMove> flat, flatten(checked.list));
  if (const auto compiled = compile_moves(flat, state->robot, state->truing.settings)) {
    for (const CompiledMove& move : *compiled) answer["moves"].push_back(move_entry(move));
  } else {
    answer["faults"] = faults_document({compiled.error()});
  }
  const CheckedPresses presses = check_presses(flat, state->robot);
  if (presses.faults.empty()) {
    answer["press_list"] = press_list_document(presses.list.presses, presses.list.limit);
  }
  answer["press_faults"] = faults_document(presses.faults);
  return answer;
}

struct SetService::Question {
  RobotStateRef state;
  std::vector<FlatMove> flat;
  std::vector<CompiledMove> moves;
  Table table;
  Pose start;
  ForecastOptions options;
};

Result<SetService::Question> SetService::question_in(const PlacedJson& body, bool with_start) {
  ObjectReader reader(body, "what to forecast");
  const RecordId robot_id = reader.whole_number("robot_id", Need::kRequired).value_or(0);
  const std::string text = reader.text("text", Need::kRequired).value_or("");
  const std::optional<RecordId> table_id = reader.whole_number("table_id");
  const PlacedJson* table = reader.object("table");
  const auto samples = reader.whole_number("samples").value_or(kUsualSamples);
  const auto seed = reader.whole_number("seed").value_or(1);
  Question question;
  if (with_start) {
    const PlacedJson* start = reader.object("start", Need::kRequired);
    if (start != nullptr) question.start = pose_in(*start, reader);
  }
  if (auto good = reader.finish(); !good) return tl::unexpected(good.error());
  if (table_id.has_value() == (table != nullptr)) {
    return bad_input("table_id or table must be given, one of them");
  }
  if (samples < 1 || samples > kMostSamples) {
    return bad_input("samples is " + std::to_string(samples) + ", expected 1 to " +
                     std::to_string(kMostSamples));
  }
  if (seed < 0) return bad_input("seed is " + std::to_string(seed) + ", expected 0 or more");
  question.options.samples = static_cast<int>(samples);
  question.options.seed = static_cast<std::uint64_t>(seed);
  if (table != nullptr) {
    RUNTRUE_TRY(question.table, table_from(*table));
  } else {
    RUNTRUE_TRY(question.table, record_.table(*table_id));
  }
  RUNTRUE_TRY(question.state, state_of(robot_id));
  RUNTRUE_TRY(PlannedList list, moves_in(text, *question.state));
  question.flat = std::move(list.flat);
  question.moves = std::move(list.compiled);
  return question;
}

SetService::Answer SetService::forecast(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const Question asked, question_in(body, true));
  const DriveSettings& settings = asked.state->truing.settings;
  const TakesTurn turn(forecasts_);
  RUNTRUE_TRY(const Forecast forecast, forecast_moves(asked.state->robot, settings, asked.moves,
                                                      asked.table, asked.start, asked.options));
  Json answer = {{"sentence", sentence_of(asked.state->robot, asked.moves, forecast)}};
  answer.update(forecast_document(forecast, asked.moves, settings, std::nullopt));
  add_forecast_paths(answer, forecast);
  return answer;
}

SetService::Answer SetService::remedies(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const Question asked, question_in(body, true));
  const TakesTurn turn(forecasts_);
  RUNTRUE_TRY(const Remedies found,
              find_remedies(asked.state->robot, asked.state->truing.settings, asked.flat,
                            asked.table, asked.start, asked.options));
  return remedies_document(found);
}

SetService::Answer SetService::safest_start(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const Question asked, question_in(body, false));
  const TakesTurn turn(forecasts_);
  RUNTRUE_TRY(const SafeStart safest,
              runtrue::safest_start(asked.state->robot, asked.state->truing.settings, asked.moves,
                                    asked.table, asked.options));
  return Json{{"start", pose_document(safest.start)},
              {"mishap", probability_document(safest.mishap)}};
}

}  // namespace runtrue
