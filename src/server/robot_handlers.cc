// The routes of robots and their runs.
#include <algorithm>
#include <map>

#include "files/answers.h"
#include "files/robot_json.h"
#include "files/run_json.h"
#include "server/request_body.h"
#include "server/set_service.h"
#include "truing/words.h"

namespace runtrue {
namespace {

Json run_entry(const KeptRun& kept) {
  Json run = {{"id", kept.id}, {"at", kept.at}, {"row", kept.run.row}};
  run.update(run_document(kept.run));
  return run;
}

// The drifts of the truing, each with the id of its run.
Json drifts_with_ids(const RobotState& state) {
  std::map<int, RecordId> id_of_row;
  for (const KeptRun& kept : state.runs) id_of_row[kept.run.row] = kept.id;
  Json drifts = run_drifts_document(state.truing);
  for (Json& drift : drifts) drift["run_id"] = id_of_row[drift["row"].get<int>()];
  return drifts;
}

}  // namespace

Result<RobotStateRef> SetService::state_of(RecordId robot, RobotLine* line) {
  RUNTRUE_TRY(const SetOverview overview, record_.overview());
  const auto found = std::find_if(overview.robots.begin(), overview.robots.end(),
                                  [&](const RobotLine& l) { return l.id == robot; });
  if (found == overview.robots.end()) {
    return failure(ErrorKind::kNotFound, "there is no robot " + std::to_string(robot));
  }
  if (line != nullptr) *line = *found;
  return states_.of(robot, found->last_change);
}

SetService::Answer SetService::robot_page(RecordId robot) {
  RobotLine line;
  RUNTRUE_TRY(const RobotStateRef state, state_of(robot, &line));
  RUNTRUE_TRY(const std::vector<KeptSettings> settings, record_.settings_of(robot));
  Json runs = Json::array();
  for (const KeptRun& kept : state->runs) runs.push_back(run_entry(kept));
  Json kept_settings = Json::array();
  for (const KeptSettings& kept : settings) {
    kept_settings.push_back(
        {{"at", kept.at}, {"trim", kept.trim.value}, {"level", kept.level.value}});
  }
  return Json{{"id", robot},
              {"change", line.last_change},
              {"robot", robot_document(state->robot)},
              {"runs", std::move(runs)},
              {"sentence", sentence_of(state->robot, state->truing)},
              {"advice", advice_document(state->robot, state->truing)},
              {"settings", settings_document(state->robot, state->truing)},
              {"curve", curve_document(state->truing)},
              {"run_drifts", drifts_with_ids(*state)},
              {"kept_settings", std::move(kept_settings)},
              {"tolerance_mm_per_m", rounded_number(TruingOptions{}.tolerance_mm_per_m)}};
}

SetService::Answer SetService::add_robot(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const Robot robot, robot_from(body));
  RUNTRUE_TRY(const Added added, record_.add_robot(robot, stamp()));
  return Json{{"change", added.change}, {"id", added.id}};
}

SetService::Answer SetService::read_robot(const Call& call) { return robot_page(call.id); }

SetService::Answer SetService::change_robot(const Call& call) {
  RUNTRUE_TRY(PlacedJson body, body_object(call.body));
  RUNTRUE_TRY(const auto based_on, take_based_on(body, call.id));
  RUNTRUE_TRY(const Robot robot, robot_from(body));
  RUNTRUE_TRY(const ChangeNumber change, record_.change_robot(call.id, robot, stamp(), based_on));
  return Json{{"change", change}};
}

SetService::Answer SetService::add_run(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  ObjectReader reader(body, "a run");
  const std::string key = reader.text("key", ObjectReader::Need::kRequired).value_or("");
  const Run run = run_from(reader);
  if (auto good = reader.finish(); !good) return tl::unexpected(good.error());
  if (key.empty() || key.size() > kLongestKey) {
    return bad_input("key has " + std::to_string(key.size()) + " characters, expected 1 to " +
                     std::to_string(kLongestKey));
  }
  RUNTRUE_TRY(const Added added, record_.add_run(call.id, run, key, stamp()));
  RUNTRUE_TRY(Json page, robot_page(call.id));
  return Json{{"change", added.change}, {"run_id", added.id}, {"page", std::move(page)}};
}

SetService::Answer SetService::leave_out(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  ObjectReader reader(body);
  const bool left_out = reader.boolean("left_out", ObjectReader::Need::kRequired).value_or(false);
  if (auto good = reader.finish(); !good) return tl::unexpected(good.error());
  RUNTRUE_TRY(const ChangeNumber change, record_.leave_out(call.id, left_out, stamp()));
  RUNTRUE_TRY(const KeptRun run, record_.run(call.id));
  RUNTRUE_TRY(Json page, robot_page(run.robot_id));
  return Json{{"change", change}, {"page", std::move(page)}};
}

SetService::Answer SetService::keep_settings(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  if (auto good = ObjectReader(body).finish(); !good) return tl::unexpected(good.error());
  RUNTRUE_TRY(const RobotStateRef state, state_of(call.id));
  KeptSettings settings;
  settings.trim = state->truing.best_trim;
  settings.level = state->robot.level_usual;
  settings.answer = settings_document(state->robot, state->truing).dump();
  RUNTRUE_TRY(const ChangeNumber change, record_.keep_settings(call.id, settings, stamp()));
  return Json{{"change", change}};
}

}  // namespace runtrue
