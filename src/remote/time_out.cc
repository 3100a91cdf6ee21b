#include "remote/time_out.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "remote/synthesis.h"

namespace runtrue {
namespace {

constexpr int kMostChoices = 40;

double longest_frame_us(robot::Protocol protocol) {
  SignalOrder order;
  order.protocol = protocol;
  if (protocol == robot::Protocol::kNecExtended) order.address = 0x0100;
  if (protocol == robot::Protocol::kNec32) {
    order.address = 0x0100;
    order.command = 0x0100;
  }
  if (protocol == robot::Protocol::kRc5x) order.command = 64;
  const auto signal = make_signal(order);
  RUNTRUE_CHECK(signal.has_value());
  double lasts_us = 0;
  for (std::size_t i = 1; i + 1 < signal->pulses.size(); ++i) {
    lasts_us += signal->pulses[i].duration_us;
  }
  return lasts_us;
}

}  // namespace

HoldCase hold_case_of(robot::Protocol protocol) {
  HoldCase c;
  const bool twins = protocol == robot::Protocol::kSharp || protocol == robot::Protocol::kDenon;
  c.period_s = nominal_period_us(protocol) / 1e6 * (twins ? 2 : 1);
  c.frame_s = longest_frame_us(protocol) / 1e6;
  return c;
}

double needed_time_out_s(const HoldCase& c, int lost_frames) {
  if (lost_frames < 0) return 0;
  return (lost_frames + 1) * c.period_s * (1 + c.clock_error) + c.jitter_s;
}

TimeOut time_out_of(const HoldCase& c, int ticks) {
  TimeOut t;
  t.ticks = ticks;
  t.shortest_s = (ticks - 1) * c.tick_s;
  t.longest_s = ticks * c.tick_s;
  t.rides_over = -1;
  while (needed_time_out_s(c, t.rides_over + 1) <= t.shortest_s) ++t.rides_over;
  double run = 1 - c.lost;  // chance that exactly j frames are lost after a good one
  double stops = 0;
  double rest = 1;
  for (int j = 0; rest > 1e-15; ++j) {
    const double gap_s = (j + 1) * c.period_s;
    const double stopped = std::clamp((gap_s - t.shortest_s) / c.tick_s, 0.0, 1.0);
    stops += run * stopped;
    rest -= run;
    run *= c.lost;
    if (run == 0) break;
  }
  t.stutters_per_minute = 60 / c.period_s * (1 - c.lost) * stops;
  const double mean_s = (t.shortest_s + t.longest_s) / 2;
  t.mean_run_on_mm = c.speed_mm_per_s * std::max(0.0, mean_s - c.period_s / 2);
  t.farthest_run_on_mm = c.speed_mm_per_s * (kReaction_s + c.frame_s + t.longest_s);
  return t;
}

Result<TimeOutAdvice> advise_time_out(const HoldCase& c) {
  const auto outside = [](const char* what, double low, double high) {
    return bad_input(fmt::format("{} is out of range, expected {} to {}", what, low, high));
  };
  if (!(c.period_s >= 0.01 && c.period_s <= 1)) return outside("the period in s", 0.01, 1);
  if (!(c.lost >= 0 && c.lost <= 0.9)) return outside("the share of lost frames", 0, 0.9);
  if (!(c.tick_s >= 0.001 && c.tick_s <= 1)) return outside("the tick in s", 0.001, 1);
  if (!(c.speed_mm_per_s > 0 && c.speed_mm_per_s <= 5000)) {
    return outside("the speed in mm/s", 1, 5000);
  }
  TimeOutAdvice advice;
  const int most = std::max(1, static_cast<int>(std::floor(kLongestTimeOut_s / c.tick_s + 1e-9)));
  const int step = (most + kMostChoices - 1) / kMostChoices;
  for (int ticks = step; ticks <= most; ticks += step) {
    advice.choices.push_back(time_out_of(c, ticks));
  }
  const auto good =
      std::find_if(advice.choices.begin(), advice.choices.end(), [](const TimeOut& t) {
        return t.rides_over >= 1 && t.stutters_per_minute <= kBearableStutters_per_minute;
      });
  advice.suggested = static_cast<std::size_t>(good == advice.choices.end()
                                                  ? std::ptrdiff_t(advice.choices.size()) - 1
                                                  : good - advice.choices.begin());
  return advice;
}

}  // namespace runtrue
