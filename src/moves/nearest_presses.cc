#include "moves/nearest_presses.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <unordered_map>

#include "moves/internal/spot.h"

namespace runtrue {
namespace {

using internal::apart;
using internal::Spot;

constexpr int kPartsOfAStep = 8;
constexpr std::size_t kMostPlaces = 4000;
constexpr std::size_t kMostStates = 2'000'000;

// Places along the wish, no two neighbours farther apart than an eighth of a step, and its end.
struct Wish {
  std::vector<Spot> places{{}};
  Pose end;
};

// Drives the wish, move by move.
class Wishing {
 public:
  explicit Wishing(double gap_mm) : gap_mm_(gap_mm) {}

  // False for a move by time.
  bool operator()(const DriveMove& m) { return straight(m.extent, 1.0); }
  bool operator()(const ReverseMove& m) { return straight(m.extent, -1.0); }
  bool operator()(const TurnMove& m) {
    if (!m.extent.angle) return false;
    go({Length(), *m.extent.angle * (m.side == Side::kLeft ? 1.0 : -1.0)});
    return true;
  }
  bool operator()(const BendMove& m) {
    const double side = m.side == Side::kLeft ? 1.0 : -1.0;
    go({m.radius * m.angle.rad(), m.angle * side});
    return true;
  }
  bool operator()(const PauseMove&) { return true; }
  bool operator()(const AtLevel&) { return true; }

  Wish wish;

 private:
  bool straight(const Extent& extent, double sign) {
    if (!extent.length) return false;
    go({*extent.length * sign, Angle()});
    return true;
  }

  void go(const Arc& arc) {
    const double gaps = std::ceil(std::abs(arc.length.mm()) / gap_mm_);
    if (gaps + static_cast<double>(wish.places.size()) > kMostPlaces + 1.0) {
      wish.places.resize(kMostPlaces + 1);
      return;
    }
    const int pieces = static_cast<int>(gaps);
    for (int i = 1; i <= pieces; ++i) {
      const Pose there = compose(wish.end, pose_after(part_of(arc, i / gaps)));
      wish.places.push_back({there.x.mm(), there.y.mm()});
    }
    wish.end = compose(wish.end, pose_after(arc));
  }

  double gap_mm_;
};

// Where presses have led and how far along the wish that counts: from there the wish can go on
// alone up to `until`, all places between being near, and not beyond.
struct State {
  Spot at;
  int turns = 0;   // to the left, within a round where turns make whole rounds
  int wished = 0;  // index of the wish's place
  int until = 0;
  int presses = 0;  // so far
  int before = -1;  // the state it came from
  Press press = Press::kForward;
};

struct Key {
  std::int64_t x, y;  // thousandths of a millimetre
  int turns, until;
  friend bool operator==(const Key&, const Key&) = default;
};
struct KeyHash {
  std::size_t operator()(const Key& k) const {
    std::uint64_t h = static_cast<std::uint64_t>(k.x) * 0x9E3779B97F4A7C15u;
    h = (h ^ (h >> 29)) + static_cast<std::uint64_t>(k.y) * 0xBF58476D1CE4E5B9u;
    h = (h ^ (h >> 31)) + static_cast<std::uint64_t>(k.turns * 65537 + k.until);
    return static_cast<std::size_t>(h * 0x94D049BB133111EBu);
  }
};

class Search {
 public:
  Search(const Wish& wish, const Robot& robot)
      : wish_(wish),
        step_mm_(robot.press.step.mm()),
        turn_(robot.press.turn),
        round_(turns_in_rounds(robot.press.turn)),
        limit_(robot.move_list_limit) {}

  // The fewest presses that stay within `off_mm` of the wish, if so many may be kept; an error if
  // the search grows too large.
  Result<std::optional<std::vector<Press>>> within(double off_mm) {
    off_mm_ = off_mm;
    states_.clear();
    known_.clear();
    std::vector<int> wished;  // where the wish may have gone before the first press
    for (int w = 0; w < static_cast<int>(wish_.places.size()) && near({}, w); ++w) {
      wished.push_back(w);
    }
    add({}, wished);
    for (std::size_t i = 0; i < states_.size(); ++i) {
      if (states_.size() > kMostStates) {
        return bad_input(
            fmt::format("the way allows too many lists of presses to try them all, "
                        "expected a shorter or simpler list"));
      }
      if (at_the_end(states_[i])) return presses_to(static_cast<int>(i));
      if (states_[i].presses < limit_) press_on(static_cast<int>(i));
    }
    return std::optional<std::vector<Press>>();
  }

  [[nodiscard]] Pose end_of(const std::vector<Press>& presses) const {
    Pose pose;
    for (const Press press : presses) {
      Arc arc;
      if (press == Press::kForward) arc.length = Length::from_mm(step_mm_);
      if (press == Press::kBack) arc.length = Length::from_mm(-step_mm_);
      if (press == Press::kLeft) arc.turn = turn_;
      if (press == Press::kRight) arc.turn = -turn_;
      pose = compose(pose, pose_after(arc));
    }
    return pose;
  }

 private:
  [[nodiscard]] bool near(Spot at, int wished) const {
    return apart(at, wish_.places[static_cast<std::size_t>(wished)]) <= off_mm_;
  }

  [[nodiscard]] bool at_the_end(const State& s) const {
    if (s.until + 1 != static_cast<int>(wish_.places.size())) return false;
    const Angle off = (turn_ * s.turns - wish_.end.heading).wrapped();
    return step_mm_ * std::abs(off.rad()) <= off_mm_;
  }

  // A state of `like` for every run of the given places of the wish, unless one that was reached by
  // no more presses can go along the same run from as early a place.
  void add(const State& like, const std::vector<int>& wished) {
    for (std::size_t i = 0, end = 0; i < wished.size(); i = end) {
      for (end = i + 1; end < wished.size() && wished[end] == wished[end - 1] + 1;) ++end;
      const int from = wished[i], until = wished[end - 1];
      const Key key{std::llround(like.at.x * 1e3), std::llround(like.at.y * 1e3), like.turns,
                    until};
      const auto [known, fresh] = known_.try_emplace(key, from);
      if (!fresh && known->second <= from) continue;
      known->second = from;
      State state = like;
      state.wished = from;
      state.until = until;
      states_.push_back(state);
    }
  }

  static std::vector<int> places_of(const State& state) {
    std::vector<int> places;
    for (int w = state.wished; w <= state.until; ++w) places.push_back(w);
    return places;
  }

  // From `wished` on, the places of the wish that can be gone on to while the robot is at `at`,
  // where it has come while the wish stood still or went on by one.
  void go_on(Spot at, const std::vector<int>& wished, std::vector<int>& reached) const {
    reached.clear();
    const int last = static_cast<int>(wish_.places.size()) - 1;
    for (const int from : wished) {
      for (const int first : {from, from + 1}) {
        for (int w = std::max(first, reached.empty() ? 0 : reached.back() + 1);
             w <= last && near(at, w); ++w) {
          if (w != first && (reached.empty() || reached.back() != w - 1)) break;
          reached.push_back(w);
        }
      }
    }
  }

  void press_on(int index) {
    for (const Press press : {Press::kForward, Press::kBack, Press::kLeft, Press::kRight}) {
      const State from = states_[static_cast<std::size_t>(index)];
      State to = from;
      to.before = index;
      to.press = press;
      ++to.presses;
      if (press == Press::kLeft || press == Press::kRight) {
        to.turns += press == Press::kLeft ? 1 : -1;
        if (round_ > 0) to.turns = (to.turns + round_) % round_;
        add(to, places_of(from));
        continue;
      }
      const double heading = turn_.rad() * from.turns;
      const double part = (press == Press::kForward ? step_mm_ : -step_mm_) / kPartsOfAStep;
      std::vector<int> wished = places_of(from), reached;
      for (int i = 1; i <= kPartsOfAStep && !wished.empty(); ++i) {
        to.at = {from.at.x + part * i * std::cos(heading),
                 from.at.y + part * i * std::sin(heading)};
        go_on(to.at, wished, reached);
        std::swap(wished, reached);
      }
      add(to, wished);
    }
  }

  [[nodiscard]] std::optional<std::vector<Press>> presses_to(int index) const {
    std::vector<Press> presses;
    for (int i = index; states_[static_cast<std::size_t>(i)].before >= 0;
         i = states_[static_cast<std::size_t>(i)].before) {
      presses.push_back(states_[static_cast<std::size_t>(i)].press);
    }
    std::reverse(presses.begin(), presses.end());
    return presses;
  }

  const Wish& wish_;
  double step_mm_;
  Angle turn_;
  int round_, limit_;
  double off_mm_ = 0.0;
  std::vector<State> states_;                    // in the order of their presses
  std::unordered_map<Key, int, KeyHash> known_;  // the earliest place of the wish
};

}  // namespace

Result<NearestPresses> nearest_presses(const std::vector<FlatMove>& moves, const Robot& robot) {
  Wishing wishing(robot.press.step.mm() / kPartsOfAStep);
  for (const FlatMove& move : moves) {
    if (std::visit(wishing, move.move)) continue;
    return bad_input(
        fmt::format("'{}' is a move by time, expected a length or an angle to come near to",
                    move.text()),
        {"", move.line, move.column});
  }
  const Wish& wish = wishing.wish;
  if (wish.places.size() > kMostPlaces) {
    return bad_input(fmt::format("the way is longer than {:g} m, expected one for a press list",
                                 robot.press.step.m() / kPartsOfAStep * kMostPlaces));
  }
  Search search(wish, robot);
  // No presses at all are this far off.
  double high = robot.press.step.mm() * std::abs(wish.end.heading.wrapped().rad());
  for (const Spot place : wish.places) high = std::max(high, apart({}, place));
  std::vector<Press> best;
  // A search grows with the distance it allows, so the distances are tried from below: met exactly,
  // but for rounding; then each three times the one before until one is enough; then by halving.
  constexpr double kExactTo_mm = 1e-3, kNextDistance = 3.0;
  double low = 0.0, next = kExactTo_mm;
  bool found_any = false;
  while (high - low > kNearestTo_mm) {
    RUNTRUE_TRY(auto found, search.within(next));
    if (found) {
      best = *std::move(found);
      found_any = true;
      high = next <= kExactTo_mm ? 0.0 : next;
    } else {
      low = next;
    }
    const double tripled = kNextDistance * std::max(low, kNearestTo_mm);
    next = found_any || tripled > high ? (low + high) / 2.0 : tripled;
  }
  NearestPresses answer;
  answer.presses = std::move(best);
  answer.farthest_off = Length::from_mm(high);
  const Pose end = search.end_of(answer.presses);
  answer.end_off =
      Length::from_mm(std::hypot((end.x - wish.end.x).mm(), (end.y - wish.end.y).mm()));
  answer.end_heading_off = (end.heading - wish.end.heading).wrapped();
  return answer;
}

}  // namespace runtrue
