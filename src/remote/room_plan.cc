#include "remote/room_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <optional>
#include <set>

#include "remote/reading.h"

namespace runtrue {
namespace {

using Edges = std::vector<std::uint32_t>;

std::uint32_t bit(std::size_t i) { return std::uint32_t{1} << i; }

// Exact colouring: the vertex with the fewest colours left goes first [Brel79]; a branch that can't
// beat the best is left.
class Colouring {
 public:
  explicit Colouring(const Edges& edges)
      : edges_(edges), colour_(edges.size(), -1), best_(edges.size()) {
    for (std::size_t i = 0; i < best_.size(); ++i) best_[i] = static_cast<int>(i);
    best_count_ = static_cast<int>(edges.size());
    colour_next(0, 0);
  }
  [[nodiscard]] const std::vector<int>& best() const { return best_; }

 private:
  [[nodiscard]] std::uint32_t taken(std::size_t vertex) const {
    std::uint32_t colours = 0;
    for (std::size_t other = 0; other < edges_.size(); ++other) {
      if ((edges_[vertex] & bit(other)) != 0 && colour_[other] >= 0) {
        colours |= bit(static_cast<std::size_t>(colour_[other]));
      }
    }
    return colours;
  }

  void colour_next(std::size_t done, int used) {
    if (used >= best_count_) return;
    if (done == edges_.size()) {
      best_ = colour_;
      best_count_ = used;
      return;
    }
    std::size_t next = 0;
    int most = -1;
    for (std::size_t i = 0; i < edges_.size(); ++i) {
      if (colour_[i] >= 0) continue;
      const int score = std::popcount(taken(i)) * 64 + std::popcount(edges_[i]);
      if (score > most) {
        most = score;
        next = i;
      }
    }
    const std::uint32_t not_these = taken(next);
    for (int colour = 0; colour <= used && colour < best_count_ - 1; ++colour) {
      if ((not_these & bit(static_cast<std::size_t>(colour))) != 0) continue;
      colour_[next] = colour;
      colour_next(done + 1, std::max(used, colour + 1));
      colour_[next] = -1;
    }
  }

  const Edges& edges_;
  std::vector<int> colour_, best_;
  int best_count_ = 0;
};

// The largest set without an edge among `left`.
int largest_apart(const Edges& edges, std::uint32_t left) {
  if (left == 0) return 0;
  const auto first = static_cast<std::size_t>(std::countr_zero(left));
  left &= ~bit(first);
  const int with = 1 + largest_apart(edges, left & ~edges[first]);
  if ((left & edges[first]) == 0) return with;
  return std::max(with, largest_apart(edges, left));
}

bool same_code(const RoomRemote& a, const RoomRemote& b) {
  return a.protocol == b.protocol && a.address == b.address;
}

std::optional<Danger> drowned(const std::vector<RoomRemote>& remotes, std::size_t a, std::size_t b,
                              double time_out_s) {
  const RoomRemote &one = remotes[a], &other = remotes[b];
  const double both_s = one.held_frame_s + other.held_frame_s;
  const double apart_s = std::abs(one.period_s - other.period_s);
  Danger danger{DangerKind::kDrowned, a, b, std::min(1.0, both_s / other.period_s), 0, ""};
  // Within 1 part in 10,000 no clock keeps its period.
  const bool endless = apart_s < 1e-4 * one.period_s || danger.hit >= 1;
  if (!endless) {
    danger.block_s = std::ceil(both_s / apart_s) * one.period_s;
    if (danger.block_s <= time_out_s) return std::nullopt;
  }
  danger.sentence = fmt::format(
      "{} and {} held together drown each other {}: {} of {}'s frames are lost, in blocks; let "
      "them "
      "take turns or drive far apart.",
      one.name, other.name,
      endless ? "for as long as they are in step"
              : fmt::format("for {:.1f} s at a time", danger.block_s),
      fmt::format("{:.0f} %", 100 * danger.hit), one.name);
  return danger;
}

std::vector<Danger> dangers_of(const std::vector<RoomRemote>& remotes, double time_out_s) {
  std::vector<Danger> dangers;
  for (std::size_t b = 0; b < remotes.size(); ++b) {
    for (std::size_t a = 0; a < b; ++a) {
      const RoomRemote &one = remotes[a], &other = remotes[b];
      if (same_code(one, other)) {
        dangers.push_back(
            {DangerKind::kSameCode, a, b, 0, 0,
             fmt::format("{} and {} send the same code ({} {}): each drives the "
                         "other's robot. Never give both out.",
                         one.name, other.name, protocol_name(one.protocol), one.address)});
      }
      if (one.repeats_without_address && other.repeats_without_address) {
        dangers.push_back({DangerKind::kRepeatWithoutAddress, a, b, 0, 0,
                           fmt::format("{} and {} repeat without saying for whom: a robot must "
                                       "count repeats only at whole periods after its own frame.",
                                       one.name, other.name)});
      }
      if (auto danger = drowned(remotes, a, b, time_out_s)) dangers.push_back(*std::move(danger));
    }
  }
  return dangers;
}

// As many remotes as there are robots, with the fewest pairs of one code: one of each code first,
// then a second of each, and so on, which spreads them as evenly as can be.
std::vector<std::size_t> give_out(const std::vector<RoomRemote>& remotes, std::size_t robots) {
  std::vector<std::pair<std::size_t, std::size_t>> order;  // how many of its code came before it
  for (std::size_t i = 0; i < remotes.size(); ++i) {
    std::size_t before = 0;
    for (std::size_t j = 0; j < i; ++j) before += same_code(remotes[i], remotes[j]) ? 1 : 0;
    order.emplace_back(before, i);
  }
  std::sort(order.begin(), order.end());
  std::vector<std::size_t> chosen;
  for (std::size_t i = 0; i < robots; ++i) chosen.push_back(order[i].second);
  std::sort(chosen.begin(), chosen.end());
  return chosen;
}

}  // namespace

std::vector<int> fewest_colours(const std::vector<std::uint32_t>& edges) {
  RUNTRUE_CHECK(edges.size() <= 32);
  return Colouring(edges).best();
}

Result<RoomPlan> plan_room(const std::vector<RoomRemote>& remotes, std::size_t robots,
                           double time_out_s) {
  if (remotes.empty() || remotes.size() > kMostRemotes) {
    return bad_input(fmt::format("{} remotes, expected 1 to {}", remotes.size(), kMostRemotes));
  }
  if (robots < 1 || robots > remotes.size()) {
    return bad_input(fmt::format("{} robots for {} remotes, expected a remote for each robot",
                                 robots, remotes.size()));
  }
  std::set<std::string> names;
  for (const RoomRemote& remote : remotes) {
    if (!names.insert(remote.name).second) {
      return bad_input(fmt::format("remote {} is there twice, expected it once", remote.name));
    }
    if (!(remote.period_s > 0) || !(remote.frame_s > 0) || !(remote.held_frame_s > 0)) {
      return bad_input(
          fmt::format("remote {} has no period or frame, expected times above 0", remote.name));
    }
  }
  RoomPlan plan;
  plan.chosen = give_out(remotes, robots);
  std::vector<RoomRemote> given;
  for (const std::size_t i : plan.chosen) given.push_back(remotes[i]);
  plan.dangers = dangers_of(given, time_out_s);
  Edges edges(given.size(), 0);
  for (Danger& danger : plan.dangers) {
    if (danger.kind != DangerKind::kRepeatWithoutAddress) {
      edges[danger.a] |= bit(danger.b);
      edges[danger.b] |= bit(danger.a);
    }
    danger.a = plan.chosen[danger.a];
    danger.b = plan.chosen[danger.b];
  }
  for (const int colour : fewest_colours(edges)) {
    plan.turn.push_back(colour + 1);
    plan.turns = std::max(plan.turns, colour + 1);
  }
  const auto all = static_cast<std::uint32_t>((std::uint64_t{1} << given.size()) - 1);
  plan.at_once = largest_apart(edges, all);
  return plan;
}

}  // namespace runtrue
