#include "truing/least_squares.h"

#include <ceres/tiny_solver.h>

#include <Eigen/Dense>
#include <cmath>

namespace runtrue {
namespace {

// The library's view of a residual function.
struct Problem {
  using Scalar = double;
  enum { NUM_RESIDUALS = Eigen::Dynamic, NUM_PARAMETERS = Eigen::Dynamic };

  const ResidualFunction* function;
  int residuals;
  int parameters;

  // The names are those that the library calls.
  int NumResiduals() const { return residuals; }    // NOLINT(readability-identifier-naming)
  int NumParameters() const { return parameters; }  // NOLINT(readability-identifier-naming)

  bool operator()(const double* p, double* r, double* j) const {
    const Eigen::VectorXd at = Eigen::Map<const Eigen::VectorXd>(p, parameters);
    Eigen::VectorXd values(residuals);
    Eigen::MatrixXd slopes;
    if (j != nullptr) slopes.resize(residuals, parameters);
    const bool good = (*function)(at, values, j != nullptr ? &slopes : nullptr) &&
                      values.allFinite() && (j == nullptr || slopes.allFinite());
    // An impossible place looks like a very bad one, so the step there is refused and shortened.
    if (!good) values.setConstant(1e100);
    Eigen::Map<Eigen::VectorXd>(r, residuals) = values;
    if (j != nullptr) Eigen::Map<Eigen::MatrixXd>(j, residuals, parameters) = slopes;
    return good;
  }
};

}  // namespace

LeastSquaresSummary least_squares(const ResidualFunction& function, int residual_count,
                                  const Eigen::VectorXd& start,
                                  const LeastSquaresOptions& options) {
  const int count = static_cast<int>(start.size());
  LeastSquaresSummary summary;
  summary.parameters = start;
  const Problem problem{&function, residual_count, count};
  Eigen::VectorXd residuals(residual_count);
  Eigen::MatrixXd jacobian(residual_count, count);
  if (!problem(start.data(), residuals.data(), jacobian.data())) return summary;

  ceres::TinySolver<Problem> solver;
  solver.options.max_num_iterations = options.most_steps;
  solver.options.parameter_tolerance = options.smallest_step;
  solver.options.gradient_tolerance = options.smallest_gradient;
  solver.options.function_tolerance =
      0.0;  // steps decide; the cost flattens out long before the parameters settle
  solver.options.cost_threshold = 0.0;
  const auto& ran = solver.Solve(problem, &summary.parameters);
  summary.steps = ran.iterations;
  summary.stop = ran.status == ceres::TinySolver<Problem>::HIT_MAX_ITERATIONS
                     ? StopReason::kStepsUsedUp
                     : StopReason::kConverged;

  // The library neither checks its numbers nor gives a covariance: both are done here, at the end,
  // afresh.
  if (!problem(summary.parameters.data(), residuals.data(), jacobian.data())) {
    summary.stop = StopReason::kCannotEvaluate;
    return summary;
  }
  summary.sum_of_squares = residuals.squaredNorm();
  const Eigen::VectorXd scale = jacobian.colwise().norm().transpose();
  if ((scale.array() <= 0.0).any()) {
    summary.rank = static_cast<int>((scale.array() > 0.0).count());
    return summary;
  }
  // Columns of equal length first, so that the rank does not depend on the parameters' units.
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(jacobian *
                                                       scale.cwiseInverse().asDiagonal());
  summary.rank = static_cast<int>(qr.rank());
  if (summary.rank < count) return summary;
  const Eigen::MatrixXd r = qr.matrixQR().topRows(count).triangularView<Eigen::Upper>();
  const Eigen::MatrixXd inverse =
      qr.colsPermutation() *
      r.triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(count, count)).eval();
  const Eigen::MatrixXd scaled = scale.cwiseInverse().asDiagonal() * inverse;
  summary.covariance = scaled * scaled.transpose();
  return summary;
}

}  // namespace runtrue
