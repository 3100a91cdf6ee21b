#include "server/set_service.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <optional>
#include <utility>

#include "server/request_body.h"
#include "truing/words.h"

namespace runtrue {
namespace {

// One segment after the other; "ID" in `pattern` stands for a whole number.
bool matches(std::string_view pattern, std::string_view path, RecordId& id) {
  while (true) {
    const std::string_view wanted = pattern.substr(0, pattern.find('/'));
    const std::string_view there = path.substr(0, path.find('/'));
    if (wanted == "ID") {
      const auto read = std::from_chars(there.data(), there.data() + there.size(), id);
      if (read.ec != std::errc() || read.ptr != there.data() + there.size() || id < 1) return false;
    } else if (wanted != there) {
      return false;
    }
    const bool pattern_ends = wanted.size() == pattern.size();
    const bool path_ends = there.size() == path.size();
    if (pattern_ends || path_ends) return pattern_ends && path_ends;
    pattern.remove_prefix(wanted.size() + 1);
    path.remove_prefix(there.size() + 1);
  }
}

Reply reply_of_answer(const Json& answer) {
  // A name that is no UTF-8 (from another program's hand in the file) must not hide all others.
  return {200, answer.dump(-1, ' ', false, Json::error_handler_t::replace)};
}

bool knows(const Truing& truing, Constant constant) {
  const auto& assumed = truing.settings.assumed;
  return std::find(assumed.begin(), assumed.end(), constant) == assumed.end();
}

struct StateWords {
  const char* state;
  const char* word;
};

StateWords state_of_robot(const RobotLine& line, const Truing& truing) {
  if (line.run_count == line.left_out_count) return {"new", "no runs yet"};
  switch (truing.verdict) {
    case Verdict::kMoreRuns:
      return {"truing", "needs truing"};
    case Verdict::kCannotReach:
      return {"cannot", "can't be trued"};
    case Verdict::kInTolerance:
      break;
  }
  const bool turns =
      knows(truing, Constant::kLogTurnGainLeft) && knows(truing, Constant::kLogTurnGainRight);
  return {"true", turns ? "ready" : "needs turns"};
}

Json robot_line(const RobotLine& line, const RobotState& state) {
  const StateWords words = state_of_robot(line, state.truing);
  // What no run told about yet is no finding to show.
  const bool found = line.run_count > line.left_out_count;
  return {{"id", line.id},
          {"name", line.name},
          {"state", words.state},
          {"word", words.word},
          {"sentence", sentence_of(state.robot, state.truing)},
          {"trim", found ? Json(state.truing.best_trim.value) : Json()},
          {"in_tolerance_probability",
           found ? rounded_number(state.truing.in_tolerance_probability) : Json()},
          {"last_drift_mm_per_m",
           state.truing.run_drifts.empty()
               ? Json()
               : rounded_number(state.truing.run_drifts.back().drift_mm_per_m.mean)},
          {"run_count", line.run_count},
          {"last_run_at", line.last_run_at.empty() ? Json() : Json(line.last_run_at)}};
}

Json named_ids(const std::vector<NamedId>& things) {
  Json list = Json::array();
  for (const NamedId& thing : things) list.push_back({{"id", thing.id}, {"name", thing.name}});
  return list;
}

Json step_document(const std::optional<Change>& change) {
  if (!change) return {};
  return {{"change", change->number}, {"what", named(*change)}};
}

}  // namespace

struct SetService::Route {
  const char* method;
  std::string_view path;
  Answer (SetService::*handler)(const Call&);
};

std::span<const SetService::Route> SetService::routes() {
  static constexpr std::array kRoutes = {
      Route{"GET", "/api/set", &SetService::read_set},
      Route{"PUT", "/api/set", &SetService::name_set},
      Route{"POST", "/api/undo", &SetService::undo},
      Route{"POST", "/api/redo", &SetService::redo},
      Route{"POST", "/api/robots", &SetService::add_robot},
      Route{"GET", "/api/robots/ID", &SetService::read_robot},
      Route{"PUT", "/api/robots/ID", &SetService::change_robot},
      Route{"POST", "/api/robots/ID/runs", &SetService::add_run},
      Route{"POST", "/api/robots/ID/settings", &SetService::keep_settings},
      Route{"POST", "/api/runs/ID/left-out", &SetService::leave_out},
      Route{"POST", "/api/tables", &SetService::add_table},
      Route{"GET", "/api/tables/ID", &SetService::read_table},
      Route{"PUT", "/api/tables/ID", &SetService::change_table},
      Route{"POST", "/api/lists", &SetService::add_list},
      Route{"POST", "/api/lists/check", &SetService::check_list},
      Route{"GET", "/api/lists/ID", &SetService::read_list},
      Route{"PUT", "/api/lists/ID", &SetService::change_list},
      Route{"POST", "/api/forecast", &SetService::forecast},
      Route{"POST", "/api/safest-start", &SetService::safest_start},
      Route{"POST", "/api/remedies", &SetService::remedies},
  };
  return kRoutes;
}

SetService::SetService(Record& record, EventHub& events, std::function<std::string()> now,
                       int threads)
    : record_(record), events_(events), now_(std::move(now)), states_(record, threads) {}

Reply SetService::answer(const Request& request) {
  const Route* found = nullptr;
  std::string allow;
  RecordId id = 0;
  for (const Route& route : routes()) {
    RecordId in_path = 0;
    if (!matches(route.path, request.path, in_path)) continue;
    if (request.method == route.method) {
      found = &route;
      id = in_path;
      break;
    }
    allow += (allow.empty() ? "" : ", ") + std::string(route.method);
  }
  if (found == nullptr && allow.empty()) return refusal(404, "there is nothing of that name");
  if (found == nullptr) {
    Reply reply = refusal(405, "this address knows " + allow + " only");
    reply.allow = allow;
    return reply;
  }
  Answer answer = (this->*found->handler)({id, request.body});
  if (request.method != "GET") tell_changes();
  if (answer) return reply_of_answer(*answer);
  Error error = std::move(answer).error();
  error.place.file.clear();
  const bool in_body = error.kind == ErrorKind::kBadInput || error.kind == ErrorKind::kConflict;
  if (in_body && !request.body.empty()) {
    if (const auto body = parse_json(request.body)) error = with_field(std::move(error), *body);
  }
  return reply_of(error);
}

void SetService::tell_changes() {
  constexpr int kAtOnce = 1000;
  const std::lock_guard lock(telling_);
  while (true) {
    const auto changes = record_.changes_since(events_.newest(), kAtOnce);
    if (!changes) return;
    for (const Change& change : *changes) {
      events_.publish({change.number, change.robot_id, change.table_id, change.list_id});
    }
    if (changes->size() < kAtOnce) return;
  }
}

void SetService::warm_up() {
  // What fails here is told to whoever asks for it.
  if (const auto overview = record_.overview()) (void)states_.of_all(overview->robots);
}

SetService::Answer SetService::read_set(const Call&) {
  RUNTRUE_TRY(const SetOverview overview, record_.overview());
  RUNTRUE_TRY(const auto states, states_.of_all(overview.robots));
  Json robots = Json::array();
  for (std::size_t i = 0; i < states.size(); ++i) {
    robots.push_back(robot_line(overview.robots[i], *states[i]));
  }
  return Json{{"name", overview.name},
              {"change", overview.last_change},
              {"robots", std::move(robots)},
              {"tables", named_ids(overview.tables)},
              {"move_lists", named_ids(overview.move_lists)},
              {"undo", step_document(overview.undo)},
              {"redo", step_document(overview.redo)}};
}

SetService::Answer SetService::name_set(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  ObjectReader reader(body);
  const std::string name = reader.text("name", ObjectReader::Need::kRequired).value_or("");
  if (auto good = reader.finish(); !good) return tl::unexpected(good.error());
  RUNTRUE_TRY(const ChangeNumber change, record_.name_set(name, stamp()));
  return Json{{"change", change}};
}

SetService::Answer SetService::undo(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  ObjectReader reader(body);
  const std::optional<ChangeNumber> expected = reader.whole_number("expected");
  if (auto good = reader.finish(); !good) return tl::unexpected(good.error());
  RUNTRUE_TRY(const Change undone, record_.undo(stamp(), expected));
  RUNTRUE_TRY(const Change target, record_.change(undone.target.value_or(0)));
  return Json{{"change", undone.number}, {"undone", named(target)}};
}

SetService::Answer SetService::redo(const Call& call) {
  RUNTRUE_TRY(const PlacedJson body, body_object(call.body));
  if (auto good = ObjectReader(body).finish(); !good) return tl::unexpected(good.error());
  RUNTRUE_TRY(const Change redone, record_.redo(stamp()));
  RUNTRUE_TRY(const Change target, record_.change(redone.target.value_or(0)));
  return Json{{"change", redone.number}, {"redone", named(target)}};
}

}  // namespace runtrue
