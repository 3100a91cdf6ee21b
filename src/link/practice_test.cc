#include "link/practice.h"

#include <gtest/gtest.h>

#include <cmath>

#include "moves/compile.h"

namespace runtrue {
namespace {

std::unique_ptr<Practice> practice_of(std::uint64_t seed) {
  PracticeOptions options;
  options.seed = seed;
  return Practice::begin(options).value();
}

// A lead who does what is advised and reads with good eyes, until it is said to be true.
Truing true_it(Practice& practice, int most_runs) {
  std::vector<Run> noted;
  Truing truing = true_robot(practice.robot(), noted).value();
  for (int i = 0; i < most_runs && truing.next_run; ++i) {
    if (truing.verdict == Verdict::kInTolerance && noted.size() > 2) break;
    const auto made = practice.make(*truing.next_run, truing.settings);
    if (!made) {
      ADD_FAILURE() << made.error().one_line();
      break;
    }
    if (made->as_read) noted.push_back(*made->as_read);
    truing = true_robot(practice.robot(), noted).value();
  }
  return truing;
}

TEST(Practice, LeadWhoFollowsTheAdvice_TruesEveryRobotOfEight) {
  int trued = 0;
  for (std::uint64_t seed = 1; seed <= 8; ++seed) {
    const auto practice = practice_of(seed);
    const Truing truing = true_it(*practice, 10);
    EXPECT_EQ(truing.verdict, Verdict::kInTolerance) << seed;
    const PracticeScore score = practice->score(truing.settings);
    trued += std::abs(score.drift_mm_per_m) <= kTrued_mm_per_m ? 1 : 0;
    EXPECT_LE(std::abs(score.least_mm_per_m), kTrued_mm_per_m);
  }
  // "In tolerance" is said with 95 %: two or more of eight wrong has a chance of 6 %.
  EXPECT_GE(trued, 7);
}

TEST(Practice, SameSeedAndCalls_GiveTheSameAnswers) {
  NextRun straight;
  straight.level = Level{128};
  straight.half_line = Length::from_mm(600);
  straight.line = Length::from_mm(1200);
  const auto one = practice_of(4), other = practice_of(4), another = practice_of(5);
  const DriveSettings settings = true_robot(one->robot(), {}).value().settings;
  for (int i = 0; i < 2; ++i) {  // the second is the same trial again
    const auto a = one->make(straight, settings), b = other->make(straight, settings),
               c = another->make(straight, settings);
    ASSERT_TRUE(a && b && c && a->as_read && b->as_read && c->as_read);
    EXPECT_EQ(a->path.end().y, b->path.end().y);
    EXPECT_EQ(a->as_read->end->sideways, b->as_read->end->sideways);
    EXPECT_NE(a->path.end().y, c->path.end().y);
    EXPECT_EQ(a->logged.number, i + 1);
  }
}

TEST(Practice, LoadedList_RunsForItsMillisecondsFromWhereItIsSetDown) {
  const auto practice = practice_of(2);
  const Robot& robot = practice->robot();
  const DriveSettings settings = true_robot(robot, {}).value().settings;
  const auto moves =
      compile_moves(flatten(parse_moves("drive 300 mm\nturn left 90 deg\n", "").value()).value(),
                    robot, settings)
          .value();
  PracticeLoad parts{settings_part(robot, settings).value(), moves_part(moves).value(), {}, {}};
  EXPECT_FALSE(practice->go());  // nothing is loaded yet
  ASSERT_TRUE(practice->load(parts));
  const auto run = practice->go();
  ASSERT_TRUE(run) << run.error().one_line();
  EXPECT_EQ(run->logged.kind, robot::RunKind::kMoveList);
  EXPECT_EQ(run->motors_on.ms(), moves[0].command.milliseconds + moves[1].command.milliseconds);
  EXPECT_LT(std::abs(run->path.poses.front().pose.y.mm()), 10.0);  // six sd of setting it down
  EXPECT_GT(run->path.end().heading.deg(), 45.0);
  // Presses go before the list, until go is held.
  practice->press(robot::Press::kForward);
  EXPECT_EQ(practice->go()->logged.kind, robot::RunKind::kPressList);
  practice->start_over();
  EXPECT_EQ(practice->go()->logged.kind, robot::RunKind::kMoveList);
}

TEST(Practice, HeldKey_DrivesAsLongAsItIsHeldAndRunsOnForNoMoreThanTheTimeOut) {
  const auto practice = practice_of(3);
  const DriveSettings settings = true_robot(practice->robot(), {}).value().settings;
  EXPECT_FALSE(practice->hold(robot::Motion::kDrive, Duration::from_s(1)));  // no keys yet
  ASSERT_TRUE(practice->load(
      {settings_part(practice->robot(), settings).value(), {}, {}, practice_keys()}));
  for (const int ms : {60, 333, 1000, 2500}) {
    const auto held = practice->hold(robot::Motion::kTurnRight, Duration::from_ms(ms));
    ASSERT_TRUE(held) << held.error().one_line();
    EXPECT_LE(held->run_on, practice->robot().hold_timeout_step);
    EXPECT_GT(held->motors_on.ms(), ms - 30.0);  // a frame and its silence, before it is known
    EXPECT_LT(held->path.end().heading.deg(), -5.0);
  }
  EXPECT_FALSE(practice->hold(robot::Motion::kStop, Duration::from_s(1)));
  EXPECT_FALSE(practice->hold(robot::Motion::kDrive, Duration::from_s(61)));
}

}  // namespace
}  // namespace runtrue
