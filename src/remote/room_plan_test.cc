#include "remote/room_plan.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace runtrue {
namespace {

using robot::Protocol;

RoomRemote nec(const std::string& name, std::uint16_t address, double period_s = 0.108) {
  return {name, Protocol::kNec, address, period_s, 0.06806, 0.01181, true};
}

const Danger* find(const RoomPlan& plan, DangerKind kind) {
  const auto found = std::find_if(plan.dangers.begin(), plan.dangers.end(),
                                  [&](const Danger& d) { return d.kind == kind; });
  return found == plan.dangers.end() ? nullptr : &*found;
}

// Worked values: NEC repeats at the measured periods 107.40 and 108.02 hit 21.9 % and lose 38 or 39
// frames in a row, 4.1 s; RC-5 at 112.628 and 112.540 lose 545, 61 s; NEC repeats against RC-5
// lose 6 or 7, 0.67 s.
TEST(RoomPlan, BlocksOfLostFrames_AsWorked) {
  const RoomRemote rc5{"c", Protocol::kRc5, 5, 0.112628, 0.0240, 0.0240, false};
  RoomRemote slower = rc5;
  slower.name = "d";
  slower.address = 6;
  slower.period_s = 0.112540;
  auto plan = plan_room({nec("a", 1, 0.10740), nec("b", 2, 0.10802)}, 2, 0.25);
  ASSERT_TRUE(plan.has_value());
  const Danger* danger = find(*plan, DangerKind::kDrowned);
  ASSERT_NE(danger, nullptr);
  EXPECT_NEAR(danger->hit, 0.219, 0.001);
  EXPECT_NEAR(danger->block_s, 4.1, 0.15);  // a frame either way
  plan = plan_room({rc5, slower}, 2, 0.25);
  ASSERT_TRUE(plan.has_value());
  danger = find(*plan, DangerKind::kDrowned);
  ASSERT_NE(danger, nullptr);
  EXPECT_NEAR(danger->block_s, 61, 0.7);
  plan = plan_room({nec("a", 1, 0.10776), rc5}, 2, 0.25);
  ASSERT_TRUE(plan.has_value());
  danger = find(*plan, DangerKind::kDrowned);
  ASSERT_NE(danger, nullptr);
  EXPECT_NEAR(danger->block_s, 0.67, 0.21);  // 6 to 8 frames
  EXPECT_EQ(plan->turns, 2);
  EXPECT_EQ(plan->at_once, 1);
}

TEST(RoomPlan, SharedCodes_AreNotGivenOutWhereOthersAreThere) {
  const auto plan = plan_room({nec("a", 1), nec("b", 1), nec("c", 2)}, 2, 0.25);
  ASSERT_TRUE(plan.has_value());
  EXPECT_EQ(plan->chosen, (std::vector<std::size_t>{0, 2}));
  EXPECT_EQ(find(*plan, DangerKind::kSameCode), nullptr);
  const Danger* repeats = find(*plan, DangerKind::kRepeatWithoutAddress);
  ASSERT_NE(repeats, nullptr);
  EXPECT_NE(repeats->sentence.find("whole periods"), std::string::npos);
  const auto all = plan_room({nec("a", 1), nec("b", 1), nec("c", 2)}, 3, 0.25);
  ASSERT_TRUE(all.has_value());
  ASSERT_NE(find(*all, DangerKind::kSameCode), nullptr);
  EXPECT_EQ(find(*all, DangerKind::kSameCode)->b, 1U);
}

TEST(RoomPlan, BlocksShorterThanTheTimeOut_AreRiddenOver) {
  // 3 + 3 ms against periods 40 ms apart: a frame at a time.
  RoomRemote a{"a", Protocol::kRc5, 1, 0.06, 0.003, 0.003, false};
  RoomRemote b{"b", Protocol::kRc5, 2, 0.1, 0.003, 0.003, false};
  const auto plan = plan_room({a, b}, 2, 0.25);
  ASSERT_TRUE(plan.has_value());
  EXPECT_TRUE(plan->dangers.empty());
  EXPECT_EQ(plan->turns, 1);
  EXPECT_EQ(plan->at_once, 2);
}

// Against trying every colouring.
TEST(RoomPlan, FewestColours_AreTheFewest) {
  std::mt19937_64 random(9);
  for (int round = 0; round < 200; ++round) {
    const std::size_t n = 2 + random() % 6;
    std::vector<std::uint32_t> edges(n, 0);
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < i; ++j) {
        if (random() % 2 == 0) continue;
        edges[i] |= 1U << j;
        edges[j] |= 1U << i;
      }
    }
    const auto fits = [&](const std::vector<int>& colours) {
      for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < i; ++j) {
          if ((edges[i] >> j & 1) != 0 && colours[i] == colours[j]) return false;
        }
      }
      return true;
    };
    int fewest = 0;
    for (int count = 1; fewest == 0; ++count) {
      const auto all = static_cast<int>(std::pow(count, n) + 0.5);
      for (int code = 0; code < all && fewest == 0; ++code) {
        std::vector<int> colours;
        for (int rest = code, i = 0; i < static_cast<int>(n); ++i, rest /= count) {
          colours.push_back(rest % count);
        }
        if (fits(colours)) fewest = count;
      }
    }
    const std::vector<int> colours = fewest_colours(edges);
    EXPECT_TRUE(fits(colours));
    EXPECT_EQ(*std::max_element(colours.begin(), colours.end()) + 1, fewest);
  }
}

TEST(RoomPlan, ThirtyRemotes_AreParted) {
  std::vector<RoomRemote> remotes;
  for (std::uint16_t i = 0; i < 30; ++i) {
    remotes.push_back(
        nec("r" + std::to_string(i), static_cast<std::uint16_t>(i / 2), 0.107 + 0.0001 * i));
  }
  const auto plan = plan_room(remotes, 30, 0.25);
  ASSERT_TRUE(plan.has_value());
  EXPECT_EQ(plan->turns, 30);  // equal remotes all drown each other
  EXPECT_FALSE(plan_room(remotes, 31, 0.25));
  remotes.push_back(nec("one more", 99));
  EXPECT_FALSE(plan_room(remotes, 1, 0.25));
}

}  // namespace
}  // namespace runtrue
