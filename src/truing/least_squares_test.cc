#include "truing/least_squares.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace runtrue {
namespace {

// y = a + b·x through (0,1) (1,3) (2,5): a = 1, b = 2 exactly.
bool line(const Eigen::VectorXd& p, Eigen::VectorXd& r, Eigen::MatrixXd* j) {
  for (int i = 0; i < 3; ++i) {
    r[i] = p[0] + p[1] * i - (1.0 + 2.0 * i);
    if (j != nullptr) {
      (*j)(i, 0) = 1.0;
      (*j)(i, 1) = i;
    }
  }
  return true;
}

TEST(LeastSquares, OfAStraightLine_HasTheTextbookCovariance) {
  const auto summary = least_squares(line, 3, Eigen::Vector2d(-4.0, 9.0));
  EXPECT_EQ(summary.stop, StopReason::kConverged);
  EXPECT_NEAR(summary.parameters[0], 1.0, 1e-12);
  EXPECT_NEAR(summary.parameters[1], 2.0, 1e-12);
  // (JᵀJ)⁻¹ of x = 0, 1, 2 by hand: [[5, -3], [-3, 3]]/6.
  EXPECT_NEAR(summary.covariance(0, 0), 5.0 / 6.0, 1e-12);
  EXPECT_NEAR(summary.covariance(0, 1), -0.5, 1e-12);
  EXPECT_NEAR(summary.covariance(1, 1), 0.5, 1e-12);
}

TEST(LeastSquares, ParametersThatCantBeToldApart_AreSaidToBeSo) {
  const ResidualFunction sum_only = [](const Eigen::VectorXd& p, Eigen::VectorXd& r,
                                       Eigen::MatrixXd* j) {
    for (int i = 0; i < 3; ++i) r[i] = p[0] + p[1] - i;
    if (j != nullptr) j->setOnes();
    return true;
  };
  const auto summary = least_squares(sum_only, 3, Eigen::Vector2d(0.0, 0.0));
  EXPECT_EQ(summary.rank, 1);
  EXPECT_EQ(summary.covariance.size(), 0);
}

TEST(LeastSquares, AStartThatCannotBeEvaluated_IsReportedAndKept) {
  const ResidualFunction refuses = [](const Eigen::VectorXd&, Eigen::VectorXd&, Eigen::MatrixXd*) {
    return false;
  };
  const auto summary = least_squares(refuses, 3, Eigen::Vector2d(7.0, 8.0));
  EXPECT_EQ(summary.stop, StopReason::kCannotEvaluate);
  EXPECT_EQ(summary.parameters[0], 7.0);
}

TEST(LeastSquares, ResidualsThatAreNotFinite_CountAsNotEvaluated) {
  const ResidualFunction nan = [](const Eigen::VectorXd&, Eigen::VectorXd& r, Eigen::MatrixXd* j) {
    r.setConstant(std::numeric_limits<double>::quiet_NaN());
    if (j != nullptr) j->setZero();
    return true;
  };
  EXPECT_EQ(least_squares(nan, 3, Eigen::Vector2d(0.0, 0.0)).stop, StopReason::kCannotEvaluate);
}

TEST(LeastSquares, TooFewSteps_AreReportedAsUsedUp) {
  const ResidualFunction steep = [](const Eigen::VectorXd& p, Eigen::VectorXd& r,
                                    Eigen::MatrixXd* j) {
    r[0] = std::exp(p[0]) - 5.0;
    if (j != nullptr) (*j)(0, 0) = std::exp(p[0]);
    return true;
  };
  Eigen::VectorXd start(1);
  start << 20.0;
  EXPECT_EQ(least_squares(steep, 1, start, {.most_steps = 1}).stop, StopReason::kStepsUsedUp);
}

}  // namespace
}  // namespace runtrue
