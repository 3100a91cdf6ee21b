// Answers what the page asks about the set: every route of docs/api.md that reads or writes the
// record, forecasts or checks a move list.
//
// Knows no sockets: a request comes in, a reply goes out. All that is computed is computed by
// truing, moves and forecast; all that is kept is kept by the record. Safe to use from several
// threads.
#pragma once

#include <functional>
#include <mutex>
#include <optional>
#include <semaphore>
#include <span>
#include <string>
#include <string_view>

#include "files/json_number.h"
#include "files/placed_json.h"
#include "record/record.h"
#include "server/event_hub.h"
#include "server/message.h"
#include "server/robot_states.h"

namespace runtrue {

// Bounds of what one request may make the machine compute.
inline constexpr int kMostSamples = 100'000;
inline constexpr int kUsualSamples = 10'000;
inline constexpr std::size_t kLongestKey = 200;        // characters of a run's key
inline constexpr std::ptrdiff_t kForecastsAtOnce = 2;  // further ones wait their turn

class SetService {
 public:
  // `record` and `events` must outlive this; `events` must have started at the record's newest
  // change. `now` gives the time that changes bear, UTC.
  SetService(Record& record, EventHub& events, std::function<std::string()> now, int threads);

  [[nodiscard]] Reply answer(const Request& request);

  // Tells the pages every change of the record that they have not been told, whoever made it.
  // Errors of the record are left to the next call.
  void tell_changes();

  // Computes the state of every robot, so that the first page need not wait for it.
  void warm_up();

 private:
  // One request that found its route.
  struct Call {
    RecordId id = 0;  // of the path, where it has one
    const std::string& body;
  };
  struct Route;
  static std::span<const Route> routes();

  using Answer = Result<Json>;
  Answer read_set(const Call& call);
  Answer name_set(const Call& call);
  Answer undo(const Call& call);
  Answer redo(const Call& call);

  Answer add_robot(const Call& call);
  Answer read_robot(const Call& call);
  Answer change_robot(const Call& call);
  Answer add_run(const Call& call);
  Answer leave_out(const Call& call);
  Answer keep_settings(const Call& call);

  Answer read_table(const Call& call);
  Answer add_table(const Call& call);
  Answer change_table(const Call& call);
  Answer read_list(const Call& call);
  Answer add_list(const Call& call);
  Answer change_list(const Call& call);

  Answer check_list(const Call& call);
  Answer forecast(const Call& call);
  Answer safest_start(const Call& call);
  Answer remedies(const Call& call);

  [[nodiscard]] Stamp stamp() const { return {now_(), ""}; }
  [[nodiscard]] Result<RobotStateRef> state_of(RecordId robot, RobotLine* line = nullptr);
  [[nodiscard]] Answer robot_page(RecordId robot);

  struct Question;  // what is to be forecast
  [[nodiscard]] Result<Question> question_in(const PlacedJson& body, bool with_start);

  Record& record_;
  EventHub& events_;
  const std::function<std::string()> now_;
  RobotStates states_;
  std::mutex telling_;
  std::counting_semaphore<kForecastsAtOnce> forecasts_{kForecastsAtOnce};
};

}  // namespace runtrue
