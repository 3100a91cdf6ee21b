#include "server/robot_states.h"

#include <algorithm>
#include <atomic>
#include <thread>

namespace runtrue {

RobotStates::RobotStates(const Record& record, int threads) : record_(record), threads_(threads) {
  RUNTRUE_CHECK(threads >= 1 && threads <= 64);
}

RobotStates::Answer RobotStates::compute(RecordId robot) const {
  RUNTRUE_TRY(Robot description, record_.robot(robot));
  RUNTRUE_TRY(std::vector<KeptRun> runs, record_.runs_of(robot));
  std::vector<Run> plain;
  plain.reserve(runs.size());
  for (const KeptRun& kept : runs) plain.push_back(kept.run);
  RUNTRUE_TRY(Truing truing, true_robot(description, plain));
  return std::make_shared<const RobotState>(
      RobotState{std::move(description), std::move(runs), std::move(truing)});
}

void RobotStates::forget_oldest() {
  if (entries_.size() <= kMostKept) return;
  entries_.erase(std::min_element(
      entries_.begin(), entries_.end(),
      [](const auto& a, const auto& b) { return a.second.asked < b.second.asked; }));
}

Result<RobotStateRef> RobotStates::of(RecordId robot, ChangeNumber last_change) {
  std::promise<Answer> promise;
  std::shared_future<Answer> known;
  {
    const std::lock_guard lock(mutex_);
    const auto found = entries_.find(robot);
    if (found != entries_.end() && found->second.change >= last_change) {
      found->second.asked = ++questions_;
      known = found->second.answer;
    } else {
      entries_[robot] = {last_change, ++questions_, promise.get_future().share()};
      forget_oldest();
    }
  }
  if (known.valid()) return known.get();
  Answer answer = compute(robot);
  promise.set_value(answer);
  if (!answer) {  // whoever waited is told, but the next one tries again
    const std::lock_guard lock(mutex_);
    const auto found = entries_.find(robot);
    if (found != entries_.end() && found->second.change == last_change) entries_.erase(found);
  }
  return answer;
}

Result<std::vector<RobotStateRef>> RobotStates::of_all(std::span<const RobotLine> robots) {
  std::vector<Answer> answers(robots.size());
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    for (std::size_t i = next++; i < robots.size(); i = next++) {
      answers[i] = of(robots[i].id, robots[i].last_change);
    }
  };
  {
    std::vector<std::jthread> helpers;
    const bool all_known = [&] {
      const std::lock_guard lock(mutex_);
      return std::all_of(robots.begin(), robots.end(), [&](const RobotLine& line) {
        const auto found = entries_.find(line.id);
        return found != entries_.end() && found->second.change >= line.last_change;
      });
    }();
    const std::size_t wanted = all_known ? 1 : static_cast<std::size_t>(threads_);
    for (std::size_t i = 1; i < std::min(wanted, robots.size()); ++i) helpers.emplace_back(work);
    work();
  }
  std::vector<RobotStateRef> states;
  states.reserve(robots.size());
  for (Answer& answer : answers) {
    if (!answer) return tl::unexpected(std::move(answer).error());
    states.push_back(*std::move(answer));
  }
  return states;
}

std::size_t RobotStates::kept() const {
  const std::lock_guard lock(mutex_);
  return entries_.size();
}

}  // namespace runtrue
