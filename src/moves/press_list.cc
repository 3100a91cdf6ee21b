#include "moves/press_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <optional>
#include <set>

#include "moves/internal/source_lines.h"
#include "units/spelling.h"

namespace runtrue {
namespace {

constexpr std::array<std::string_view, 4> kWords{"forward", "back", "left", "right"};
constexpr double kWholeTo_ratio = 1e-9;  // far below a tape, far above rounding in a double

// How many times `press` goes into `asked`, if it does so evenly.
std::optional<double> whole_count(double asked_per_press) {
  const double count = std::round(asked_per_press);
  if (count < 1.0 || std::abs(asked_per_press - count) > kWholeTo_ratio * count) {
    return std::nullopt;
  }
  return count;
}

bool is_turn(Press press) { return press == Press::kLeft || press == Press::kRight; }

// Keys one move after the other.
class Keying {
 public:
  explicit Keying(const Robot& robot) : robot_(robot) { list_.limit = robot.move_list_limit; }

  void add(const FlatMove& move) {
    if (full_) return;
    if (const std::string why = std::visit(*this, move.move); !why.empty()) fault(move, why);
  }

  CheckedPresses done() && {
    list_.presses = shortest(list_.as_written, robot_.press);
    return {std::move(list_), std::move(faults_)};
  }

  // Adds the presses of a move, or says why it has none.
  std::string operator()(const DriveMove& m) { return steps(Press::kForward, m, m.extent); }
  std::string operator()(const ReverseMove& m) { return steps(Press::kBack, m, m.extent); }
  std::string operator()(const TurnMove& m) {
    const double turn_deg = robot_.press.turn.deg();
    if (!m.extent.angle) {
      return fmt::format("'{}' is a move by time, expected an angle in {:g} deg turns",
                         move_text(m), turn_deg);
    }
    const auto count = whole_count(m.extent.angle->deg() / turn_deg);
    if (!count) {
      return fmt::format("{} is not a whole number of {:g} deg turns", move_text(m), turn_deg);
    }
    return presses(m.side == Side::kLeft ? Press::kLeft : Press::kRight, *count);
  }
  std::string operator()(const BendMove& m) {
    return fmt::format("no key drives '{}', expected steps and turns alone", move_text(m));
  }
  std::string operator()(const PauseMove& m) {
    return fmt::format("no key makes '{}', expected steps and turns alone", move_text(m));
  }
  std::string operator()(const AtLevel& m) {
    return fmt::format("no key sets '{}', expected steps and turns alone", move_text(m));
  }

 private:
  std::string steps(Press press, const SingleMove& move, const Extent& extent) {
    const double step_mm = robot_.press.step.mm();
    if (!extent.length) {
      return fmt::format("'{}' is a move by time, expected a length in {:g} mm steps",
                         move_text(move), step_mm);
    }
    const auto count = whole_count(extent.length->mm() / step_mm);
    if (!count) {
      return fmt::format("{} is not a whole number of {:g} mm steps", move_text(move), step_mm);
    }
    return presses(press, *count);
  }

  std::string presses(Press press, double count) {
    if (count + static_cast<double>(list_.as_written.size()) > kMostPresses) {
      full_ = true;
      return fmt::format("here the list grows beyond {} presses, expected at most that many",
                         kMostPresses);
    }
    list_.as_written.insert(list_.as_written.end(), static_cast<std::size_t>(count), press);
    return {};
  }

  void fault(const FlatMove& move, std::string message) {
    const bool is_new = told_.emplace(move.line, move.column, message).second;
    if (!is_new || faults_.size() >= kMostFaults) return;
    faults_.push_back({ErrorKind::kBadInput, std::move(message), {"", move.line, move.column}});
  }

  const Robot& robot_;
  PressList list_;
  std::vector<Error> faults_;
  std::set<std::tuple<int, int, std::string>> told_;  // a repeat says the same each time
  bool full_ = false;
};

}  // namespace

int turns_in_rounds(Angle turn) {
  for (int turns = 1; turns <= 360; ++turns) {
    if (whole_count(turns * turn.deg() / 360.0)) return turns;
  }
  return 0;
}

std::string_view word_of(Press press) { return kWords[static_cast<std::size_t>(press)]; }

std::vector<Press> shortest(const std::vector<Press>& presses, const PressSize& press) {
  const int round = turns_in_rounds(press.turn);
  std::vector<Press> answer;
  for (std::size_t i = 0; i < presses.size();) {
    if (!is_turn(presses[i])) {
      answer.push_back(presses[i++]);
      continue;
    }
    const int first = presses[i] == Press::kLeft ? 1 : -1;
    int left = 0;  // turns of this row, to the left counted up
    for (; i < presses.size() && is_turn(presses[i]); ++i) {
      left += presses[i] == Press::kLeft ? 1 : -1;
    }
    if (round > 0) {
      left %= round;
      if (2 * std::abs(left) > round) left += left > 0 ? -round : round;
      if (2 * std::abs(left) == round) left = first * std::abs(left);
    }
    answer.insert(answer.end(), static_cast<std::size_t>(std::abs(left)),
                  left > 0 ? Press::kLeft : Press::kRight);
  }
  return answer;
}

CheckedPresses check_presses(const std::vector<FlatMove>& moves, const Robot& robot) {
  Keying keying(robot);
  for (const FlatMove& move : moves) keying.add(move);
  return std::move(keying).done();
}

Result<PressList> press_list(const std::vector<FlatMove>& moves, const Robot& robot) {
  CheckedPresses checked = check_presses(moves, robot);
  if (!checked.faults.empty()) return tl::unexpected(std::move(checked.faults.front()));
  return std::move(checked.list);
}

Result<std::vector<Press>> parse_presses(std::string_view text, std::string_view file_name) {
  const auto lines = moves_internal::raw_lines(text);
  if (text.size() > kMostBytes || lines.size() > kMostLines) {
    return bad_input(fmt::format("the text has {} lines and {} bytes, expected at most {} lines "
                                 "and {} bytes",
                                 lines.size(), text.size(), kMostLines, kMostBytes),
                     {std::string(file_name), 1, 1});
  }
  std::vector<Press> presses;
  int number = 0;
  for (const std::string_view raw : lines) {
    ++number;
    std::string parted(raw);
    std::replace(parted.begin(), parted.end(), ',', ' ');
    const auto line = moves_internal::cut_line(parted, number);
    if (!line) return tl::unexpected(Error(line.error()).in_file(file_name));
    for (const auto& word : line->words) {
      const Place place{std::string(file_name), number, word.column};
      const std::string small = moves_internal::lower(word.text);
      const auto known = std::find(kWords.begin(), kWords.end(), small);
      if (known == kWords.end()) {
        const std::string_view meant = near_miss(small, kWords);
        return bad_input(fmt::format("'{}' is not a press{}", quotable(word.text),
                                     meant.empty() ? ", expected forward, back, left or right"
                                                   : fmt::format("; did you mean '{}'?", meant)),
                         place);
      }
      if (presses.size() == kMostPresses) {
        return bad_input(fmt::format("here the list grows beyond {} presses, expected at most that "
                                     "many",
                                     kMostPresses),
                         place);
      }
      presses.push_back(static_cast<Press>(known - kWords.begin()));
    }
  }
  return presses;
}

MoveList moves_of(const std::vector<Press>& presses, const PressSize& press) {
  const auto move_of = [&](Press what) -> SingleMove {
    const Extent step{press.step, std::nullopt};
    if (what == Press::kForward) return DriveMove{step};
    if (what == Press::kBack) return ReverseMove{step};
    return TurnMove{what == Press::kLeft ? Side::kLeft : Side::kRight, {press.turn, std::nullopt}};
  };
  MoveList list;
  for (auto row = presses.begin(); row != presses.end();) {
    const auto end = std::find_if(row, presses.end(), [&](Press other) { return other != *row; });
    Statement one;
    one.what = move_of(*row);
    if (end - row > 1) {
      Statement block;
      block.what = Repeat{static_cast<int>(end - row), {std::move(one)}, {}};
      one = std::move(block);
    }
    list.body.push_back(std::move(one));
    row = end;
  }
  return list;
}

std::vector<PressChange> changes_between(const std::vector<Press>& from,
                                         const std::vector<Press>& to) {
  const std::size_t n = from.size(), m = to.size();
  // kept[i][j]: how many presses stay between the last n - i of `from` and the last m - j of `to`.
  std::vector<std::uint16_t> kept((n + 1) * (m + 1), 0);
  const auto at = [&](std::size_t i, std::size_t j) -> std::uint16_t& {
    return kept[i * (m + 1) + j];
  };
  for (std::size_t i = n; i-- > 0;) {
    for (std::size_t j = m; j-- > 0;) {
      at(i, j) = from[i] == to[j] ? static_cast<std::uint16_t>(at(i + 1, j + 1) + 1)
                                  : std::max(at(i + 1, j), at(i, j + 1));
    }
  }
  std::vector<PressChange> changes;
  std::size_t i = 0, j = 0;
  while (i < n || j < m) {
    if (i < n && j < m && from[i] == to[j]) {
      changes.push_back({to[j], PressChange::What::kKeep});
      ++i, ++j;
    } else if (i < n && (j == m || at(i + 1, j) >= at(i, j + 1))) {
      changes.push_back({from[i++], PressChange::What::kDrop});
    } else {
      changes.push_back({to[j++], PressChange::What::kAdd});
    }
  }
  return changes;
}

}  // namespace runtrue
