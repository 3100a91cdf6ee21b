#include "server/event_hub.h"

#include <gtest/gtest.h>

#include <thread>

namespace runtrue {
namespace {

using std::chrono::milliseconds;
constexpr milliseconds kNow{0};

TEST(EventHub, NothingNew_WaitsAndGivesNothing) {
  const EventHub hub(7);
  EXPECT_EQ(hub.newest(), 7);
  EXPECT_TRUE(hub.wait_after(7, milliseconds(5)).notices.empty());
}

TEST(EventHub, WhatCameAfterTheLastSeen_IsToldInOrder) {
  EventHub hub(7);
  hub.publish({8, 1, {}, {}});
  hub.publish({9, {}, 2, {}});
  hub.publish({10, {}, {}, 3});
  const auto news = hub.wait_after(8, kNow);
  ASSERT_EQ(news.notices.size(), 2U);
  EXPECT_EQ(news.notices[0].change, 9);
  EXPECT_EQ(news.notices[0].table_id, 2);
  EXPECT_EQ(news.notices[1].list_id, 3);
}

TEST(EventHub, PageFromBeforeTheStart_IsToldToReadEverything) {
  EventHub hub(7);
  const auto news = hub.wait_after(3, kNow);
  ASSERT_EQ(news.notices.size(), 1U);
  EXPECT_EQ(news.notices[0].change, 7);
  EXPECT_FALSE(news.notices[0].robot_id || news.notices[0].table_id || news.notices[0].list_id);
}

TEST(EventHub, PageWithANumberOfAnotherRecord_IsToldToReadEverything) {
  const EventHub hub(7);
  ASSERT_EQ(hub.wait_after(900, kNow).notices.size(), 1U);
  EXPECT_EQ(hub.wait_after(900, kNow).notices[0].change, 7);
}

TEST(EventHub, PageThatFellFarBehind_IsToldToReadEverything) {
  EventHub hub(0);
  const auto many = static_cast<std::int64_t>(EventHub::kKept) + 10;
  for (std::int64_t i = 1; i <= many; ++i) hub.publish({i, 1, {}, {}});
  ASSERT_EQ(hub.wait_after(5, kNow).notices.size(), 1U);
  EXPECT_FALSE(hub.wait_after(5, kNow).notices[0].robot_id);
  EXPECT_EQ(hub.wait_after(10, kNow).notices.size(), EventHub::kKept);
}

TEST(EventHub, WaitingPage_IsWokenByAChangeAndByTheEnd) {
  EventHub hub(0);
  EventHub::News first, second;
  std::thread page([&] {
    first = hub.wait_after(0, std::chrono::seconds(20));
    second = hub.wait_after(1, std::chrono::seconds(20));
  });
  hub.publish({1, 4, {}, {}});
  hub.close();
  page.join();
  EXPECT_TRUE(first.closed || first.notices.size() == 1);
  EXPECT_TRUE(second.closed);
}

TEST(EventHub, Notice_IsWrittenAsAnEventOfTheStandardForm) {
  EXPECT_EQ(event_text({12, 3, {}, {}}),
            "id: 12\nevent: changed\ndata: {\"change\": 12, \"robot_id\": 3, \"table_id\": null, "
            "\"list_id\": null}\n\n");
}

}  // namespace
}  // namespace runtrue
