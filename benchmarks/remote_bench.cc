// Hand remotes: how many edges a second are decoded, what random edges are taken for, and what
// happens in rooms where 2 to 12 remotes are held at once. Prints a report; takes the number of
// presses, of random edges in millions, and the seed.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <random>
#include <vector>

#include "remote/reading.h"
#include "remote/synthesis.h"
#include "robot/hold_to_drive.h"
#include "robot/pulse_reader.h"

namespace runtrue {
namespace {

using robot::Protocol;

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

struct Edge {
  std::uint32_t time_us;
  bool mark;
};

// A few frames of every protocol, one after another, over and over.
std::vector<Edge> all_protocols() {
  std::vector<Edge> edges;
  double time_us = 0;
  for (int i = 0; i < robot::kProtocols; ++i) {
    SignalOrder order;
    order.protocol = static_cast<Protocol>(i);
    order.address = order.protocol == Protocol::kNecExtended || order.protocol == Protocol::kNec32
                        ? 0x1234
                        : 0x15;
    order.command = order.protocol == Protocol::kNec32  ? 0x5678
                    : order.protocol == Protocol::kRc5x ? 0x4A
                                                        : 0x2A;
    order.frames = 4;
    const auto signal = make_signal(order);
    RUNTRUE_CHECK(signal.has_value());
    for (const Pulse& pulse : signal->pulses) {
      edges.push_back({static_cast<std::uint32_t>(time_us), pulse.mark});
      time_us += pulse.duration_us;
    }
  }
  return edges;
}

void rate_of_edges() {
  const std::vector<Edge> edges = all_protocols();
  constexpr int kRounds = 20'000;
  robot::PulseReader reader;
  std::size_t frames = 0;
  const std::uint32_t round_us = edges.back().time_us + 50'000;
  const auto start = std::chrono::steady_clock::now();
  for (std::uint32_t round = 0; round < kRounds; ++round) {
    for (const Edge& edge : edges) {
      frames += reader.edge(edge.mark, edge.time_us + round * round_us) == robot::Heard::kFrame;
    }
  }
  const double seconds = seconds_since(start);
  const double count = static_cast<double>(edges.size()) * kRounds;
  fmt::print(
      "edges decoded, all protocols in turn: {:.1f} million a second on one core ({} frames)\n",
      count / seconds / 1e6, frames);
}

class Even {
 public:
  explicit Even(std::uint64_t seed) : random_(seed) {}
  double upto(double most) { return static_cast<double>(random_() >> 11) * 0x1p-53 * most; }

 private:
  std::mt19937_64 random_;
};

// Widths up to 3 ms, and now and then a silence that ends what was heard.
void random_edges(double millions, std::uint64_t seed) {
  Even even(seed);
  robot::PulseReader reader;
  std::array<std::size_t, robot::kProtocols> frames{};
  std::size_t repeats = 0;
  double time_us = 0;
  bool mark = false;
  const auto count = static_cast<std::uint64_t>(millions * 1e6);
  for (std::uint64_t i = 0; i < count; ++i) {
    const bool silence = !mark && even.upto(1) < 0.03;
    time_us += silence ? 8000 : 80 + even.upto(2920);
    mark = !mark;
    const auto wrapped = static_cast<std::uint32_t>(static_cast<std::uint64_t>(time_us));
    if (reader.edge(mark, wrapped) != robot::Heard::kFrame) continue;
    ++(reader.frame().repeat ? repeats : frames[static_cast<std::size_t>(reader.frame().protocol)]);
  }
  fmt::print("random edges: {:.0f} million; taken for frames:", millions);
  bool none = repeats == 0;
  if (repeats > 0) fmt::print(" {} repeat frames", repeats);
  for (std::size_t i = 0; i < frames.size(); ++i) {
    if (frames[i] == 0) continue;
    none = false;
    fmt::print(" {} {}", frames[i], protocol_name(static_cast<Protocol>(i)));
  }
  fmt::print("{}\n", none ? " none" : "");
}

// Whose frame, µs.
struct Sent {
  double start, end;
  int hand;
  bool whole;
};

constexpr double kWhole_us = 68'060, kRepeat_us = 11'810;
constexpr std::uint8_t kTicks = 2;
constexpr double kTick_us = 250'000;

struct RoomCount {
  std::size_t presses = 0, first_lost = 0, repeats = 0, repeats_lost = 0;
  std::size_t drove_without = 0, prolonged = 0, still_driving = 0;
  double longest_us = 0;
};

// One press of hand 0 while all others hold theirs: the robot of hand 0 hears what does not
// overlap.
void press(int hands, Even& even, RoomCount& count) {
  const double held_us = 500'000 + even.upto(1'500'000);
  const double end_us = held_us + 4'000'000;
  std::vector<Sent> sent;
  const auto period = [&] { return 107'700 * (0.996 + even.upto(0.008)); };
  const double own_us = period();
  for (double at = 0; at < held_us; at += own_us) {
    sent.push_back({at, at + (at == 0 ? kWhole_us : kRepeat_us), 0, at == 0});
  }
  for (int hand = 1; hand < hands; ++hand) {
    const double theirs_us = period();
    for (double at = even.upto(theirs_us) - theirs_us; at < end_us; at += theirs_us) {
      sent.push_back({at, at + kRepeat_us, hand, false});
    }
  }
  std::sort(sent.begin(), sent.end(),
            [](const Sent& a, const Sent& b) { return a.start < b.start; });

  const robot::RemoteKey key = {1, 5, Protocol::kNec, 0, robot::Motion::kDrive};
  robot::HoldToDrive machine(
      &key, 1, {static_cast<std::uint32_t>(std::lround(own_us)), robot::kRepeatWindow_us, kTicks});
  ++count.presses;
  double next_tick = even.upto(kTick_us), last_us = 0, covered = -1e9;
  bool first_heard = false;
  const auto pass = [&](double until) {
    for (; next_tick <= until; next_tick += kTick_us) {
      if (machine.motion() != robot::Motion::kNone) last_us = next_tick;
      machine.tick();
    }
  };
  double own_last = 0;
  for (std::size_t i = 0; i < sent.size(); ++i) {
    const Sent& now = sent[i];
    const bool lost = covered > now.start || (i + 1 < sent.size() && sent[i + 1].start < now.end);
    covered = std::max(covered, now.end);
    if (now.hand == 0 && !now.whole) {
      ++count.repeats;
      count.repeats_lost += lost;
    }
    if (now.hand == 0) own_last = now.end;
    if (lost) continue;
    pass(now.end);
    robot::Frame frame = {};
    frame.protocol = Protocol::kNec;
    frame.repeat = !now.whole;
    if (now.whole) {
      frame.address = 5;
      frame.command = 1;
      first_heard = true;
    }
    (void)machine.frame(
        frame, static_cast<std::uint32_t>(static_cast<std::int64_t>(std::llround(now.start))));
    if (machine.motion() != robot::Motion::kNone) {
      last_us = now.end;
      count.drove_without += !first_heard;
    }
  }
  pass(end_us);
  count.first_lost += !first_heard;
  if (!first_heard) return;
  const double ran_on = last_us - own_last;
  count.prolonged += ran_on > kTicks * kTick_us;
  count.longest_us = std::max(count.longest_us, ran_on);
  count.still_driving += machine.motion() != robot::Motion::kNone;
}

void rooms(std::size_t presses, std::uint64_t seed) {
  fmt::print("rooms, {} presses each; all other hands hold theirs, periods within 0.4 %:\n",
             presses);
  fmt::print(
      "  remotes  repeats lost (formula)  first lost (formula)  drove without  prolonged  longest "
      "run-on  still driving\n");
  for (int hands = 2; hands <= 12; ++hands) {
    Even even(seed + static_cast<std::uint64_t>(hands));
    RoomCount count;
    for (std::size_t i = 0; i < presses; ++i) press(hands, even, count);
    const double others = hands - 1;
    const double repeat = 1 - std::pow(1 - 2 * kRepeat_us / 107'700, others);
    const double first = 1 - std::pow(1 - (kWhole_us + kRepeat_us) / 107'700, others);
    const auto share = [](std::size_t part, std::size_t whole) {
      return 100 * static_cast<double>(part) / static_cast<double>(whole);
    };
    fmt::print(
        "  {:7}  {:9.1f} % ({:5.1f} %)  {:9.1f} % ({:5.1f} %)  {:13}  {:9}  {:11.2f} s  {:13}\n",
        hands, share(count.repeats_lost, count.repeats), 100 * repeat,
        share(count.first_lost, count.presses), 100 * first, count.drove_without, count.prolonged,
        count.longest_us / 1e6, count.still_driving);
  }
}

}  // namespace
}  // namespace runtrue

int main(int count, char** words) {
  const auto number = [&](int at, double otherwise) {
    return count > at ? std::strtod(words[at], nullptr) : otherwise;
  };
  const auto seed = static_cast<std::uint64_t>(number(3, 1));
  runtrue::rate_of_edges();
  runtrue::random_edges(number(2, 100), seed);
  runtrue::rooms(static_cast<std::size_t>(number(1, 20'000)), seed);
  return 0;
}
