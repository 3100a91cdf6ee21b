// The bidirectional square path against worked examples and open data.
//
// Sources: formulas of [Bore96]; worked examples computed independently of this code from exact
// arcs to ten digits and more; an open data set [Sous22], for
// whose eight square sets the authors publish track width and both diameters to six decimals.
#include "truing/square_path.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "reference_data.h"

namespace runtrue {
namespace {

SquareSetup setup_m(double side, double track) {
  return {Length::from_m(side), Length::from_m(track)};
}

struct Worked {
  double side, nominal, acting, ratio;
  double cw_x, cw_y, ccw_x, ccw_y;
};
constexpr Worked kWorkedSquares[] = {
    {0.5, 0.100, 0.103, 1.010, -0.0806279287, -0.1130127335, 0.0026201338, -0.0024749938},
    {0.5, 0.100, 0.0985, 0.996, 0.0464603748, 0.0398228690, 0.0035503984, -0.0035861494},
    {4.0, 0.340, 0.345, 1.002, -0.3441973587, -0.4046228819, 0.0032389169, -0.0031606759}};

std::vector<SquareReturn> returns_of(const Worked& w) {
  return {{WayRound::kClockwise, Length::from_m(w.cw_x), Length::from_m(w.cw_y)},
          {WayRound::kCounterClockwise, Length::from_m(w.ccw_x), Length::from_m(w.ccw_y)}};
}

constexpr double kPrinted_m = 1e-10;  // the worked numbers have ten decimals

TEST(SquareEnd, OfTheWorkedRobots_IsTheWorkedPlace) {
  for (const Worked& w : kWorkedSquares) {
    const SquareSetup setup = setup_m(w.side, w.nominal);
    const SquareEnd cw = square_end(setup, WayRound::kClockwise, Length::from_m(w.acting), w.ratio);
    const SquareEnd ccw =
        square_end(setup, WayRound::kCounterClockwise, Length::from_m(w.acting), w.ratio);
    EXPECT_NEAR(cw.x.m(), w.cw_x, kPrinted_m);
    EXPECT_NEAR(cw.y.m(), w.cw_y, kPrinted_m);
    EXPECT_NEAR(ccw.x.m(), w.ccw_x, kPrinted_m);
    EXPECT_NEAR(ccw.y.m(), w.ccw_y, kPrinted_m);
  }
  const SquareSetup first = setup_m(0.5, 0.1);
  EXPECT_NEAR(square_end(first, WayRound::kClockwise, Length::from_m(0.103), 1.01).heading.rad(),
              0.3762141110, kPrinted_m);
  EXPECT_NEAR(
      square_end(first, WayRound::kCounterClockwise, Length::from_m(0.103), 1.01).heading.rad(),
      0.0102033164, kPrinted_m);
}

TEST(SquareEnd, WithOneErrorAtATime_HasTheWorkedSignsAndSizes) {
  struct Case {
    double acting, ratio, cw_x, cw_y, ccw_x, ccw_y;
  };
  constexpr double kFiveDecimals_m = 5.1e-6;
  for (const Case& c : {Case{0.102, 1.0, -0.05958, -0.06535, -0.05958, 0.06535},
                        Case{0.098, 1.0, 0.06603, 0.05996, 0.06603, -0.05996},
                        Case{0.1, 1.005, -0.09145, -0.11182, 0.10640, -0.08702},
                        Case{0.1, 0.995, 0.10696, 0.08739, -0.09186, 0.11244}}) {
    const SquareSetup setup = setup_m(1.0, 0.1);
    const SquareEnd cw = square_end(setup, WayRound::kClockwise, Length::from_m(c.acting), c.ratio);
    const SquareEnd ccw =
        square_end(setup, WayRound::kCounterClockwise, Length::from_m(c.acting), c.ratio);
    // The table's wheel ratios keep the mean, ours too; the last digit printed may be off by one.
    EXPECT_NEAR(cw.x.m(), c.cw_x, 2 * kFiveDecimals_m) << c.acting << " " << c.ratio;
    EXPECT_NEAR(cw.y.m(), c.cw_y, 2 * kFiveDecimals_m) << c.acting << " " << c.ratio;
    EXPECT_NEAR(ccw.x.m(), c.ccw_x, 2 * kFiveDecimals_m) << c.acting << " " << c.ratio;
    EXPECT_NEAR(ccw.y.m(), c.ccw_y, 2 * kFiveDecimals_m) << c.acting << " " << c.ratio;
  }
}

TEST(SquareFormulas, OnTheFirstWorkedRobot_GiveTheWorkedTwelveDigits) {
  const SquareSetup setup = setup_m(0.5, 0.1);
  const auto returns = returns_of(kWorkedSquares[0]);
  // Inputs have ten decimals of a metre: 1e-10/(4·0.5 m) of an angle, amplified little.
  constexpr double kDigits = 1e-9;
  const SquareAnswer x = *square_by_formulas(setup, returns, SquareAxis::kX);
  EXPECT_NEAR(x.corner_shortfall.rad(), 0.0390038974301, kDigits);
  EXPECT_NEAR(x.leg_turn.rad(), 0.0416240312758, kDigits);
  EXPECT_NEAR(x.track.m(), 0.102546291304, kDigits);
  EXPECT_NEAR(x.diameter_ratio, 1.00857275303, kDigits);
  EXPECT_NEAR(x.left_factor, 0.995731918092, kDigits);
  EXPECT_NEAR(x.right_factor, 1.00426808191, kDigits);
  EXPECT_NEAR(x.worst_offset.m(), 0.138826297301, kDigits);
  const SquareAnswer y = *square_by_formulas(setup, returns, SquareAxis::kY);
  EXPECT_NEAR(y.corner_shortfall.rad(), 0.0552688698683, kDigits);
  EXPECT_NEAR(y.leg_turn.rad(), 0.0577438636397, kDigits);
  EXPECT_NEAR(y.track.m(), 0.103646840551, kDigits);
  EXPECT_NEAR(y.diameter_ratio, 1.01204032609, kDigits);
  const SquareAnswer mean = *square_by_formulas(setup, returns, SquareAxis::kMean);
  EXPECT_NEAR(mean.track.m(), 0.103093628855, kDigits);
  EXPECT_NEAR(mean.diameter_ratio, 1.01029587431, kDigits);
  EXPECT_NEAR(mean.right_factor, 1.00512157163, kDigits);
}

TEST(SquareFit, OnTheWorkedRobots_FindsTrackAndRatioWhereFormulasAreOff) {
  for (const Worked& w : kWorkedSquares) {
    const SquareFit fit = *fit_square(setup_m(w.side, w.nominal), returns_of(w));
    // Ten decimals of a metre over a side: a few 1e-10, times the track.
    EXPECT_NEAR(fit.answer.track.m(), w.acting, 1e-9);
    EXPECT_NEAR(fit.answer.diameter_ratio, w.ratio, 1e-9);
  }
  const SquareAnswer first_order =
      *square_by_formulas(setup_m(0.5, 0.1), returns_of(kWorkedSquares[0]), SquareAxis::kX);
  EXPECT_GT(std::abs(first_order.track.m() - 0.103), 4e-4);  // what the exact path saves
}

// --- open data ---

struct DataSet {
  SquareSetup setup;
  std::vector<SquareReturn> returns;
};

std::map<std::string, DataSet> open_data() {
  std::ifstream file(testing::reference_data() + "/odometry/square_end_errors.csv");
  std::map<std::string, DataSet> sets;
  std::string line;
  std::getline(file, line);
  EXPECT_EQ(line,
            "dataset,run,direction,side_m,b_nominal_m,D_nominal_m,x_err_m,y_err_m,theta_err_rad");
  while (std::getline(file, line)) {
    std::vector<std::string> cells;
    std::istringstream row(line);
    for (std::string cell; std::getline(row, cell, ',');) cells.push_back(cell);
    DataSet& set = sets[cells.at(0)];
    set.setup = setup_m(std::stod(cells.at(3)), std::stod(cells.at(4)));
    set.returns.push_back({cells.at(2) == "cw" ? WayRound::kClockwise : WayRound::kCounterClockwise,
                           Length::from_m(std::stod(cells.at(6))),
                           Length::from_m(std::stod(cells.at(7)))});
  }
  return sets;
}

struct Published {
  const char* set;
  double nominal_diameter, track, right, left;
};
constexpr Published kPublished[] = {{"230620202042", .084, .201458, .083954, .084046},
                                    {"230620202144", .084, .201304, .083978, .084022},
                                    {"230620202258", .085, .203768, .084968, .085032},
                                    {"230620202317", .084, .201223, .083950, .084050},
                                    {"231220200029", .084, .201556, .083962, .084038},
                                    {"231220200040", .084, .201698, .083977, .084023},
                                    {"231220200045", .084, .201638, .083976, .084024},
                                    {"231220200048", .084, .201355, .083970, .084030}};

TEST(SquareFormulas, OnTheOpenData_GiveThePublishedTrackAndDiameters) {
  if (testing::reference_data().empty()) GTEST_SKIP() << "skipped: no reference data";
  const auto sets = open_data();
  ASSERT_EQ(sets.size(), 8U);
  for (const Published& p : kPublished) {
    const DataSet& set = sets.at(p.set);
    const SquareAnswer answer = *square_by_formulas(set.setup, set.returns, SquareAxis::kX);
    constexpr double kSixDecimals = 6e-7;
    EXPECT_NEAR(answer.track.m(), p.track, kSixDecimals) << p.set;
    EXPECT_NEAR(p.nominal_diameter * answer.right_factor, p.right, kSixDecimals) << p.set;
    EXPECT_NEAR(p.nominal_diameter * answer.left_factor, p.left, kSixDecimals) << p.set;
  }
}

// Root mean square distance between returns and what a robot with that answer would return to.
double miss_mm(const DataSet& set, std::span<const SquareReturn> returns, Length track,
               double ratio) {
  double sum = 0.0;
  for (const SquareReturn& r : returns) {
    const SquareEnd end = square_end(set.setup, r.way, track, ratio);
    sum += std::pow(end.x.mm() - r.x.mm(), 2) + std::pow(end.y.mm() - r.y.mm(), 2);
  }
  return std::sqrt(sum / static_cast<double>(returns.size()));
}

TEST(SquareFit, OnHalfOfTheOpenData_LowersTheEndErrorOfRunsItDidNotSee) {
  if (testing::reference_data().empty()) GTEST_SKIP() << "skipped: no reference data";
  const auto sets = open_data();
  int lower = 0;
  for (const auto& [name, set] : sets) {
    std::vector<SquareReturn> seen, unseen;
    int count[2] = {0, 0};
    for (const SquareReturn& r : set.returns) {
      const int nth = count[r.way == WayRound::kClockwise ? 0 : 1]++;
      (nth % 2 == 0 ? seen : unseen).push_back(r);
    }
    // Sets of one run each way have nothing left over: the neighbouring set of that evening, same
    // square and same settings, is what they did not see.
    if (unseen.empty()) unseen = sets.at("231220200040").returns;
    const SquareFit fit = *fit_square(set.setup, seen);
    lower += miss_mm(set, unseen, fit.answer.track, fit.answer.diameter_ratio) <
             miss_mm(set, unseen, set.setup.nominal_track, 1.0);
  }
  EXPECT_GE(lower, 7);
}

TEST(SquareFit, OneWayRoundAlone_IsRefusedWithTheReason) {
  auto returns = returns_of(kWorkedSquares[0]);
  returns.pop_back();
  const auto answer = fit_square(setup_m(0.5, 0.1), returns);
  ASSERT_FALSE(answer);
  EXPECT_NE(answer.error().message.find("no counter-clockwise square"), std::string::npos);
}

TEST(SquareFit, ReturnsTypedInTheWrongUnit_AreRefused) {
  const auto answer =
      fit_square(setup_m(0.5, 0.1),
                 std::vector<SquareReturn>{
                     {WayRound::kClockwise, Length::from_m(-80.6), Length::from_m(-113)},
                     {WayRound::kCounterClockwise, Length::from_m(2.6), Length::from_m(-2)}});
  ASSERT_FALSE(answer);
  EXPECT_NE(answer.error().message.find("expected at most the square's side"), std::string::npos);
}

}  // namespace
}  // namespace runtrue
