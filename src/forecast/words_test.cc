// What a person is told of a forecast, byte for byte.
#include "forecast/words.h"

#include <gtest/gtest.h>

#include "forecast/internal/interval.h"
#include "forecast/internal/test_scene.h"

namespace runtrue {
namespace {

using internal::probability_of;

const Robot kPlainRobot = default_robot("Dunlin", Length::from_mm(140));

TEST(ChanceWords, NeverSayMoreThanTheSamplesDo) {
  const struct {
    int events, tries;
    const char* words;
  } cases[] = {
      {0, 10'000, "under 1 time in 2700"},
      {0, 1'000'000, "under 1 time in 270000"},
      {0, 20, "under 1 time in 5"},
      {0, 4, "in none of 4 tries, too few to say more"},
      {1, 10'000, "about 1 time in 10000 (0.00025 to 0.056 %)"},
      {17, 200, "about 1 time in 12 (5 to 14 %)"},
      {833, 10'000, "about 1 time in 12 (7.7 to 8.9 %)"},
      {50, 100, "about 5 times in 10 (39 to 61 %)"},
      {9'990, 10'000, "nearly every time (99.81 to 99.953 %)"},
      {200, 200, "nearly every time (over 98 %)"},
      {100'000, 100'000, "nearly every time (over 99.9963 %)"},
  };
  for (const auto& c : cases) {
    EXPECT_EQ(chance_words(probability_of(c.events, c.tries), c.tries), c.words);
  }
}

TEST(ChanceWords, NeverSayNeverOrAlways) {
  for (const int tries : {1, 10, 100, 10'000, 10'000'000}) {
    for (const double part : {0.0, 1e-7, 1e-3, 0.3, 0.34, 0.36, 0.5, 0.949, 0.951, 0.9999, 1.0}) {
      const int events = static_cast<int>(part * tries);
      const std::string words = chance_words(probability_of(events, tries), tries);
      EXPECT_EQ(words.find("(0 "), std::string::npos) << words;
      EXPECT_EQ(words.find(" 0 %"), std::string::npos) << words;
      EXPECT_EQ(words.find("100 %"), std::string::npos) << words;
      EXPECT_EQ(words.find("!"), std::string::npos) << words;
    }
  }
}

TEST(PoseWords, AreWholeAndWrapped) {
  EXPECT_EQ(pose_words(internal::pose(300.4, -0.2, 450)), "x 300 mm, y 0 mm, heading 90 deg");
  EXPECT_EQ(pose_words(internal::pose(0, 0, 179.8)), "x 0 mm, y 0 mm, heading -180 deg");
}

Forecast forecast_with(int falls, int bumps, int tries) {
  Forecast f;
  f.samples = tries;
  f.fall = probability_of(falls, tries);
  f.bump = probability_of(bumps, tries);
  return f;
}

const std::vector<CompiledMove> kMoves{internal::drive(1000),
                                       internal::drive(2000),
                                       {"turn left 90 deg", 3, {{-120}, {120}, 1000}, ""}};

TEST(Sentence, OfARiskyList_SaysHowOftenWhereAndWhatToDo) {
  Forecast f = forecast_with(17, 0, 200);
  f.first_risky_move = RiskyMove{2, Mishap::kFalls, 0.05, {}};
  const SafeStart safest{internal::pose(300, 200, 90), probability_of(0, 10'000)};
  EXPECT_EQ(sentence_of(kPlainRobot, kMoves, f, safest),
            "Dunlin falls about 1 time in 12 (5 to 14 %), first in move 3, turn left 90 deg. Start "
            "it at x 300 mm, y 200 mm, heading 90 deg: there it goes wrong under 1 time in 2700.");
  EXPECT_EQ(sentence_of(kPlainRobot, kMoves, f),
            "Dunlin falls about 1 time in 12 (5 to 14 %), first in move 3, turn left 90 deg. Start "
            "it further from there, or shorten the moves.");
}

TEST(Sentence, OfASafeList_SaysNoMoreThanIsKnown) {
  EXPECT_EQ(sentence_of(kPlainRobot, kMoves, forecast_with(0, 0, 10'000)),
            "Dunlin stays on the table and clear of everything: it goes wrong under 1 time in "
            "2700.");
}

TEST(Sentence, WhereNothingIsBetter_SaysSo) {
  Forecast f = forecast_with(2, 100, 200);
  f.first_risky_move = RiskyMove{1, Mishap::kBumps, 0.5, {}};
  const SafeStart safest{internal::pose(300, 200, 90), probability_of(5'000, 10'000)};
  EXPECT_EQ(sentence_of(kPlainRobot, kMoves, f, safest),
            "Dunlin falls about 1 time in 100 (0.12 to 3.6 %); it bumps into something about 5 "
            "times in 10 (42 to 58 %), first in move 2, drive 2000 ms. No start found on this "
            "table does better: shorten the moves or make more room.");
}

TEST(Sentence, OfAnUntruedLevel_SaysItIsLessSure) {
  std::vector<CompiledMove> moves = kMoves;
  moves[1].untrued = "level 160 was never measured";
  EXPECT_EQ(sentence_of(kPlainRobot, moves, forecast_with(0, 0, 10'000)),
            "Dunlin stays on the table and clear of everything: it goes wrong under 1 time in "
            "2700. Less sure from move 2 on: level 160 was never measured.");
}

}  // namespace
}  // namespace runtrue
