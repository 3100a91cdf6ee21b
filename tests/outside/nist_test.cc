// The least-squares engine against certified values.
//
// Source: NIST Statistical Reference Datasets, Nonlinear Regression: Misra1a, DanWood, Chwirut2,
// MGH09 (files *.dat of the National Institute of Standards and Technology, a work of the US
// Government, public domain): data, both starts, certified parameters, standard deviations and
// residual sum of squares, copied digit by digit.
#include <gtest/gtest.h>

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "truing/least_squares.h"

namespace runtrue {
namespace {

struct Observation {
  double y, x;
};

// Value of the model at x and its derivatives by the parameters.
using Model = std::function<double(double x, const Eigen::VectorXd& b, Eigen::VectorXd& slopes)>;

struct Certified {
  std::string name;
  std::vector<Observation> data;
  Model model;
  std::vector<std::vector<double>> starts;
  std::vector<double> parameters;
  std::vector<double> standard_deviations;
  double residual_sum_of_squares;
  double digits;  // that must agree at least
};

std::ostream& operator<<(std::ostream& out, const Certified& c) { return out << c.name; }

double misra1a(double x, const Eigen::VectorXd& b, Eigen::VectorXd& slopes) {
  const double e = std::exp(-b[1] * x);
  slopes << 1.0 - e, b[0] * x * e;
  return b[0] * (1.0 - e);
}

double danwood(double x, const Eigen::VectorXd& b, Eigen::VectorXd& slopes) {
  const double power = std::pow(x, b[1]);
  slopes << power, b[0] * power * std::log(x);
  return b[0] * power;
}

double chwirut2(double x, const Eigen::VectorXd& b, Eigen::VectorXd& slopes) {
  const double e = std::exp(-b[0] * x);
  const double under = b[1] + b[2] * x;
  slopes << -x * e / under, -e / (under * under), -e * x / (under * under);
  return e / under;
}

double mgh09(double x, const Eigen::VectorXd& b, Eigen::VectorXd& slopes) {
  const double over = x * x + x * b[1];
  const double under = x * x + x * b[2] + b[3];
  slopes << over / under, b[0] * x / under, -b[0] * over * x / (under * under),
      -b[0] * over / (under * under);
  return b[0] * over / under;
}

const std::vector<Certified>& problems() {
  static const std::vector<Certified> kProblems{
      {"Misra1a",
       {{10.07, 77.6},
        {14.73, 114.9},
        {17.94, 141.1},
        {23.93, 190.8},
        {29.61, 239.9},
        {35.18, 289.0},
        {40.02, 332.8},
        {44.82, 378.4},
        {50.76, 434.8},
        {55.05, 477.3},
        {61.01, 536.8},
        {66.4, 593.1},
        {75.47, 689.1},
        {81.78, 760.0}},
       misra1a,
       {{500, 0.0001}, {250, 0.0005}},
       {2.3894212918E+02, 5.5015643181E-04},
       {2.7070075241E+00, 7.2668688436E-06},
       1.2455138894E-01,
       6},
      {"DanWood",
       {{2.138, 1.309}, {3.421, 1.471}, {3.597, 1.49}, {4.34, 1.565}, {4.882, 1.611}, {5.66, 1.68}},
       danwood,
       {{1, 5}, {0.7, 4}},
       {7.6886226176E-01, 3.8604055871E+00},
       {1.8281973860E-02, 5.1726610913E-02},
       4.3173084083E-03,
       6},
      {"Chwirut2",
       {{92.9, 0.5},   {57.1, 1.0},     {31.05, 1.75}, {11.5875, 3.75}, {8.025, 5.75},
        {63.6, 0.875}, {21.4, 2.25},    {14.25, 3.25}, {8.475, 5.25},   {63.8, 0.75},
        {26.8, 1.75},  {16.4625, 2.75}, {7.125, 4.75}, {67.3, 0.625},   {41.0, 1.25},
        {21.15, 2.25}, {8.175, 4.25},   {81.5, 0.5},   {13.12, 3.0},    {59.9, 0.75},
        {14.62, 3.0},  {32.9, 1.5},     {5.44, 6.0},   {12.56, 3.0},    {5.44, 6.0},
        {32.0, 1.5},   {13.95, 3.0},    {75.8, 0.5},   {20.0, 2.0},     {10.42, 4.0},
        {59.5, 0.75},  {21.67, 2.0},    {8.55, 5.0},   {62.0, 0.75},    {20.2, 2.25},
        {7.76, 3.75},  {3.75, 5.75},    {11.81, 3.0},  {54.7, 0.75},    {23.7, 2.5},
        {11.55, 4.0},  {61.3, 0.75},    {17.7, 2.5},   {8.74, 4.0},     {59.2, 0.75},
        {16.3, 2.5},   {8.62, 4.0},     {81.0, 0.5},   {4.87, 6.0},     {14.62, 3.0},
        {81.7, 0.5},   {17.17, 2.75},   {81.3, 0.5},   {28.9, 1.75}},
       chwirut2,
       {{0.1, 0.01, 0.02}, {0.15, 0.008, 0.010}},
       {1.6657666537E-01, 5.1653291286E-03, 1.2150007096E-02},
       {3.8303286810E-02, 6.6621605126E-04, 1.5304234767E-03},
       5.1304802941E+02,
       6},
      // Four digits: NIST ranks it "higher difficulty"; the first start lies far from the minimum
      // in a flat valley.
      {"MGH09",
       {{0.1957, 4.0},
        {0.1947, 2.0},
        {0.1735, 1.0},
        {0.16, 0.5},
        {0.0844, 0.25},
        {0.0627, 0.167},
        {0.0456, 0.125},
        {0.0342, 0.1},
        {0.0323, 0.0833},
        {0.0235, 0.0714},
        {0.0246, 0.0625}},
       mgh09,
       {{25, 39, 41.5, 39}, {0.25, 0.39, 0.415, 0.39}},
       {1.9280693458E-01, 1.9128232873E-01, 1.2305650693E-01, 1.3606233068E-01},
       {1.1435312227E-02, 1.9633220911E-01, 8.0842031232E-02, 9.0025542308E-02},
       3.0750560385E-04,
       4}};
  return kProblems;
}

// Agreeing significant digits, at most the 11 that are certified.
double digits(double found, double certified) {
  return std::min(11.0, -std::log10(std::abs(found - certified) / std::abs(certified) + 1e-16));
}

class NistProblem : public testing::TestWithParam<Certified> {};

TEST_P(NistProblem, IsSolvedFromBothStartsWithItsStandardDeviations) {
  const Certified& problem = GetParam();
  const int count = static_cast<int>(problem.data.size());
  const int parameters = static_cast<int>(problem.parameters.size());
  const ResidualFunction residuals = [&](const Eigen::VectorXd& b, Eigen::VectorXd& r,
                                         Eigen::MatrixXd* j) {
    Eigen::VectorXd slopes(parameters);
    for (int i = 0; i < count; ++i) {
      const auto& [y, x] = problem.data[static_cast<std::size_t>(i)];
      r[i] = problem.model(x, b, slopes) - y;
      if (j != nullptr) j->row(i) = slopes.transpose();
    }
    return true;
  };
  for (const auto& start : problem.starts) {
    const auto summary =
        least_squares(residuals, count, Eigen::Map<const Eigen::VectorXd>(start.data(), parameters),
                      {.most_steps = 5000});
    ASSERT_EQ(summary.stop, StopReason::kConverged)
        << "start " << start[0] << " after " << summary.steps;
    ASSERT_EQ(summary.rank, parameters);
    const double variance = summary.sum_of_squares / (count - parameters);
    EXPECT_GE(digits(summary.sum_of_squares, problem.residual_sum_of_squares), problem.digits);
    for (int i = 0; i < parameters; ++i) {
      const auto at = static_cast<std::size_t>(i);
      EXPECT_GE(digits(summary.parameters[i], problem.parameters[at]), problem.digits)
          << "start " << start[0];
      const double sd = std::sqrt(variance * summary.covariance(i, i));
      EXPECT_GE(digits(sd, problem.standard_deviations[at]), problem.digits)
          << "start " << start[0];
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Certified, NistProblem, testing::ValuesIn(problems()),
                         [](const auto& problem) { return problem.param.name; });

}  // namespace
}  // namespace runtrue
