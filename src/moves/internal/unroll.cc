#include "moves/internal/unroll.h"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>
#include <unordered_map>

#include "moves/internal/source_lines.h"
#include "units/spelling.h"

namespace runtrue::moves_internal {
namespace {

constexpr long kTooMany = kMostMoves + 1;     // every larger count is this one
constexpr std::size_t kMostCandidates = 200;  // names looked at for a near miss

class Counter {
 public:
  explicit Counter(const MoveList& list) : list_(list), found_(list.parts.size()) {
    for (std::size_t i = 0; i < list.parts.size(); ++i) {
      const Part& part = list.parts[i];
      const auto [first, is_new] = by_name_.emplace(part.name, i);
      if (is_new) {
        names_.push_back(part.name);
        continue;
      }
      const int first_line = list.parts[first->second].line;
      fault(part.line, part.column,
            fmt::format("part '{}' is defined a second time, expected another name than that of "
                        "line {}",
                        part.name, first_line));
    }
  }

  std::vector<Error> faults() && {
    for (std::size_t i = 0; i < list_.parts.size(); ++i) (void)of_part(i);
    (void)of_body(list_.body, 0);
    std::stable_sort(faults_.begin(), faults_.end(), [](const Error& a, const Error& b) {
      return std::pair(a.place.line, a.place.column) < std::pair(b.place.line, b.place.column);
    });
    return std::move(faults_);
  }

 private:
  enum class State { kUnseen, kOpen, kDone };
  struct Found {
    State state = State::kUnseen;
    long moves = 0;
    int depth = 1;  // 1: it does no other part
  };
  struct Size {
    long moves = 0;
    int depth = 0;  // of parts that are done
  };

  void fault(int line, int column, std::string message) {
    faults_.push_back({ErrorKind::kBadInput, std::move(message), {"", line, column}});
  }
  void fault_once(bool& said, const Statement& at, int column, std::string message) {
    if (!said) fault(at.line, column, std::move(message));
    said = true;
  }

  Size of_body(const std::vector<Statement>& body, int blocks) {
    Size sum;
    for (const Statement& statement : body) {
      const Size one = of_statement(statement, blocks);
      const bool fitted = sum.moves < kTooMany && one.moves < kTooMany;
      sum.moves = std::min(sum.moves + one.moves, kTooMany);
      sum.depth = std::max(sum.depth, one.depth);
      if (fitted && sum.moves == kTooMany) too_many(statement);
    }
    return sum;
  }

  void too_many(const Statement& at) {
    fault_once(
        said_too_many_, at, at.column,
        fmt::format("here the list grows beyond {} moves, expected at most that many", kMostMoves));
  }

  Size of_statement(const Statement& statement, int blocks) {
    if (const auto* repeat = std::get_if<Repeat>(&statement.what)) {
      if (blocks == kDeepestBlocks) {
        fault_once(said_too_deep_, statement, statement.column,
                   fmt::format("blocks stand inside blocks more than {} deep, expected fewer",
                               kDeepestBlocks));
        return {};
      }
      if (repeat->times < 1 || repeat->times > kMostMoves) {
        fault(statement.line, statement.column,
              fmt::format("{} times can't be done, expected 1 to {} times", repeat->times,
                          kMostMoves));
        return {};
      }
      Size size = of_body(repeat->body, blocks + 1);
      const bool fitted = size.moves < kTooMany;
      size.moves = std::min(size.moves * repeat->times, kTooMany);
      if (fitted && size.moves == kTooMany) too_many(statement);
      return size;
    }
    if (const auto* part = std::get_if<DoPart>(&statement.what)) return of_do(statement, *part);
    return {std::holds_alternative<SingleMove>(statement.what) ? 1 : 0, 0};
  }

  Size of_do(const Statement& statement, const DoPart& what) {
    const auto place = by_name_.find(what.part);
    if (place == by_name_.end()) {
      fault(statement.line, what.column, unknown_part(what.part));
      return {};
    }
    const std::size_t index = place->second;
    if (found_[index].state == State::kOpen) {
      fault(statement.line, what.column, circle(index));
      return {};
    }
    if (found_[index].state == State::kUnseen && chain_.size() >= kDeepestBlocks) {
      too_deep(statement, what);
      return {};
    }
    const Found& found = of_part(index);
    if (found.depth > kDeepestBlocks) too_deep(statement, what);
    return {found.moves, found.depth};
  }

  void too_deep(const Statement& statement, const DoPart& what) {
    fault_once(said_too_deep_, statement, what.column,
               fmt::format("parts do parts more than {} deep, expected fewer", kDeepestBlocks));
  }

  const Found& of_part(std::size_t index) {
    Found& found = found_[index];
    if (found.state != State::kUnseen) return found;
    found.state = State::kOpen;
    chain_.push_back(index);
    const Size size = of_body(list_.parts[index].body, 0);
    chain_.pop_back();
    found = {State::kDone, size.moves, size.depth + 1};
    return found;
  }

  std::string unknown_part(std::string_view name) const {
    std::vector<std::string_view> some(
        names_.begin(),
        names_.begin() + static_cast<long>(std::min(names_.size(), kMostCandidates)));
    std::string message = fmt::format("no part is called '{}'", quotable(name));
    if (const std::string_view meant = near_miss(name, some); !meant.empty()) {
      return message + fmt::format("; did you mean '{}'?", meant);
    }
    if (names_.empty()) return message + ", expected 'part " + quotable(name) + "' somewhere";
    constexpr std::size_t kNamed = 5;
    if (some.size() > kNamed) some.resize(kNamed);
    return message + fmt::format(", expected {}{}", fmt::join(some, ", "),
                                 names_.size() > kNamed ? " or another part" : "");
  }

  std::string circle(std::size_t index) const {
    const std::string& name = list_.parts[index].name;
    if (chain_.back() == index) {
      return fmt::format(
          "part '{}' does itself, so the list would never end; expected another part", name);
    }
    const std::string& last = list_.parts[chain_.back()].name;
    return fmt::format(
        "part '{}' is done by part '{}', which it does itself, so the list would never end; "
        "expected another part",
        name, last);
  }

  const MoveList& list_;
  std::unordered_map<std::string_view, std::size_t> by_name_;
  std::vector<std::string_view> names_;  // in the order of the text
  std::vector<Found> found_;
  std::vector<std::size_t> chain_;  // parts being looked at, each done by the one before
  std::vector<Error> faults_;
  bool said_too_many_ = false;
  bool said_too_deep_ = false;
};

}  // namespace

std::vector<Error> unrolling_faults(const MoveList& list) { return Counter(list).faults(); }

}  // namespace runtrue::moves_internal
