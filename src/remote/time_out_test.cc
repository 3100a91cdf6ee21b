#include "remote/time_out.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace runtrue {
namespace {

using robot::Protocol;

// The worked table for 1.5 % of clock error and 5 ms of jitter, in whole ms, for 0 to 3 lost.
TEST(TimeOut, NeededOfEachProtocol_AsInTheWorkedTable) {
  const struct {
    Protocol protocol;
    int ms[4];
  } table[] = {
      {Protocol::kNec, {115, 224, 334, 443}},        {Protocol::kRc5, {120, 236, 351, 467}},
      {Protocol::kRc6Mode0, {113, 222, 330, 438}},   {Protocol::kPulseWidth12, {51, 96, 142, 188}},
      {Protocol::kKaseikyo48, {137, 269, 401, 533}}, {Protocol::kSharp, {142, 279, 416, 553}},
  };
  for (const auto& row : table) {
    for (int lost = 0; lost < 4; ++lost) {
      // The table is rounded to whole ms.
      EXPECT_NEAR(needed_time_out_s(hold_case_of(row.protocol), lost) * 1000, row.ms[lost], 0.75)
          << static_cast<int>(row.protocol) << ' ' << lost;
    }
  }
}

// Ticks of 250 ms: one stops wrongly before 43 % of the frames with nothing lost, two never; of 125
// ms one before 86 %, two never, but before 73 % of those after a lost one.
TEST(TimeOut, CountedTicks_AsWorkedAndSimulated) {
  HoldCase c = hold_case_of(Protocol::kNec);
  c.lost = 0;
  const double frames_per_minute = 60 / c.period_s;
  EXPECT_NEAR(time_out_of(c, 1).stutters_per_minute / frames_per_minute, 0.432, 0.001);
  EXPECT_EQ(time_out_of(c, 1).rides_over, -1);
  EXPECT_EQ(time_out_of(c, 2).stutters_per_minute, 0);
  EXPECT_EQ(time_out_of(c, 2).rides_over, 1);
  c.tick_s = 0.125;
  EXPECT_NEAR(time_out_of(c, 1).stutters_per_minute / frames_per_minute, 0.864, 0.001);
  EXPECT_EQ(time_out_of(c, 2).stutters_per_minute, 0);
  EXPECT_EQ(time_out_of(c, 2).rides_over, 0);
}

// (1 - p) p^(m + 1) / T where the time-out is no matter of ticks: 10.9 s between stutters with 1 %
// lost and none ridden over, 45.5 with 5 % and one, 120 with 10 % and two.
TEST(TimeOut, StuttersOfAFineClock_AreTheClosedForm) {
  const struct {
    double lost;
    int rides_over;
    double seconds;
  } table[] = {{0.01, 0, 10.9}, {0.05, 1, 45.5}, {0.1, 2, 120}, {0.2, 1, 3.4}, {0.4, 3, 7.0}};
  for (const auto& row : table) {
    HoldCase c = hold_case_of(Protocol::kNec);
    c.lost = row.lost;
    c.tick_s = 0.001;
    const int ticks = static_cast<int>(std::ceil(needed_time_out_s(c, row.rides_over) * 1000)) + 1;
    const TimeOut t = time_out_of(c, ticks);
    EXPECT_EQ(t.rides_over, row.rides_over);
    EXPECT_NEAR(60 / t.stutters_per_minute, row.seconds,
                0.015 * row.seconds);  // two or three digits
  }
}

// A million frames drawn one by one, against the sum.
TEST(TimeOut, Stutters_AgreeWithFramesDrawnOneByOne) {
  HoldCase c = hold_case_of(Protocol::kNec);
  c.lost = 0.2;
  std::mt19937_64 random(5);
  const auto even = [&] { return static_cast<double>(random() >> 11) * 0x1p-53; };
  for (const int ticks : {1, 2, 3}) {
    constexpr int kFrames = 1'000'000;
    int stutters = 0, lost = 0;
    for (int i = 0; i < kFrames; ++i) {
      if (even() < c.lost) {
        ++lost;
        continue;
      }
      const double time_out = (ticks - 1 + even()) * c.tick_s;
      if ((lost + 1) * c.period_s > time_out) ++stutters;
      lost = 0;
    }
    const double per_minute = stutters / (kFrames * c.period_s / 60);
    const double expected = time_out_of(c, ticks).stutters_per_minute;
    // Four standard deviations of a count.
    EXPECT_NEAR(per_minute, expected, 4 * expected / std::sqrt(stutters + 1.0)) << ticks;
  }
}

TEST(TimeOut, RunOn_IsTheMeanWaitAndAtMostReactionFrameAndLongestWait) {
  HoldCase c = hold_case_of(Protocol::kNec);
  const TimeOut t = time_out_of(c, 2);
  EXPECT_NEAR(t.mean_run_on_mm, 200 * (0.375 - 0.054), 1e-9);
  EXPECT_NEAR(t.farthest_run_on_mm, 200 * (0.23 + c.frame_s + 0.5), 1e-9);
}

TEST(TimeOut, Suggestion_RidesOverALostFrameAndNoLongerThanNeeded) {
  HoldCase c = hold_case_of(Protocol::kNec);
  auto advice = advise_time_out(c);
  ASSERT_TRUE(advice.has_value());
  EXPECT_EQ(advice->choices[advice->suggested].ticks, 2);
  c.lost = 0.2;
  advice = advise_time_out(c);
  ASSERT_TRUE(advice.has_value());
  const TimeOut& t = advice->choices[advice->suggested];
  EXPECT_LE(t.stutters_per_minute, kBearableStutters_per_minute);
  EXPECT_GT(advice->choices[advice->suggested - 1].stutters_per_minute,
            kBearableStutters_per_minute);
  c.lost = 0.95;
  EXPECT_FALSE(advise_time_out(c));
}

}  // namespace
}  // namespace runtrue
