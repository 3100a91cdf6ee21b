// What is known of each robot of the set, computed once for each state of its runs.
//
// A robot's state is its description, its runs and the truing made from them. It is kept until a
// change touches the robot: the key is the newest change of that robot, as the record's overview
// tells it, so nothing kept is ever out of date, whoever wrote the change. Several that ask for the
// same state at once wait for one computation. Safe to use from several threads.
#pragma once

#include <future>
#include <map>
#include <memory>
#include <mutex>
#include <span>
#include <vector>

#include "record/record.h"
#include "truing/truing.h"

namespace runtrue {

struct RobotState {
  Robot robot;
  std::vector<KeptRun> runs;
  Truing truing;
};
using RobotStateRef = std::shared_ptr<const RobotState>;

class RobotStates {
 public:
  // Beyond a set's size by far; the one asked for longest ago is forgotten.
  static constexpr std::size_t kMostKept = 1024;

  // `record` must outlive this. `threads`: how many robots are computed at once in `of_all`, 1..64.
  RobotStates(const Record& record, int threads);

  // `last_change`: RobotLine::last_change. Errors: those of the record.
  [[nodiscard]] Result<RobotStateRef> of(RecordId robot, ChangeNumber last_change);

  // The states of all these robots, in their order; the first error of the record, if any.
  [[nodiscard]] Result<std::vector<RobotStateRef>> of_all(std::span<const RobotLine> robots);

  [[nodiscard]] std::size_t kept() const;

 private:
  using Answer = Result<RobotStateRef>;
  struct Entry {
    ChangeNumber change = 0;
    std::uint64_t asked = 0;  // when, counted in questions
    std::shared_future<Answer> answer;
  };
  [[nodiscard]] Answer compute(RecordId robot) const;
  void forget_oldest();

  const Record& record_;
  const int threads_;
  mutable std::mutex mutex_;
  std::map<RecordId, Entry> entries_;
  std::uint64_t questions_ = 0;
};

}  // namespace runtrue
