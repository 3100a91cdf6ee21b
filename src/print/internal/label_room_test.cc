#include "print/internal/label_room.h"

#include <gtest/gtest.h>

namespace runtrue::internal {
namespace {

const Box kFrame{0, 0, 400, 300};

TEST(LabelRoom, WordsAtOnePlaceDoNotCoverEachOther) {
  LabelRoom room(kFrame);
  std::vector<Box> placed;
  for (int i = 0; i < 12; ++i) placed.push_back(room.place({200, 150}, 24, 10));
  for (std::size_t a = 0; a < placed.size(); ++a) {
    for (std::size_t b = a + 1; b < placed.size(); ++b) EXPECT_FALSE(placed[a].overlaps(placed[b]));
  }
}

TEST(LabelRoom, WordsStayInTheFrameEvenAtItsCorner) {
  LabelRoom room(kFrame);
  const Box box = room.place({399, 1}, 40, 12, {1, -1});
  EXPECT_GE(box.top, kFrame.top);
  EXPECT_LE(box.right, kFrame.right);
}

TEST(LabelRoom, WordsKeepOffALineAndGoToTheWishedSide) {
  LabelRoom room(kFrame);
  room.avoid({{0, 150}, {400, 150}});
  const Box above = room.place({200, 150}, 30, 10, {0, -1});
  const Box below = room.place({200, 150}, 30, 10, {0, 1});
  EXPECT_LT(above.bottom, 150);
  EXPECT_GT(below.top, 150);
}

TEST(PaperNumbers, HaveATrueMinusAndGroupsOfThree) {
  EXPECT_EQ(signed_number(-4), "−4");
  EXPECT_EQ(signed_number(-0.2), "0");
  EXPECT_EQ(signed_number(3.25, 1, true), "+3.2");
  EXPECT_EQ(grouped(999), "999");
  EXPECT_EQ(grouped(10000), "10 000");
  EXPECT_EQ(grouped(-1234567), "-1 234 567");
  EXPECT_EQ(with_true_minus("trim -4 (-3 to 7), a well-known 3-4"),
            "trim −4 (−3 to 7), a well-known 3-4");
}

}  // namespace
}  // namespace runtrue::internal
