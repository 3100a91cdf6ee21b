// Nonlinear least squares with covariance: minimises ½‖r(p)‖² by the Levenberg-Marquardt method of
// a kept library.
//
// Small dense problems (a handful of parameters). Priors are residuals like any other: (p −
// mean)/sd. Not robust by itself: weights belong into the residuals.
#pragma once

#include <Eigen/Core>
#include <functional>

namespace runtrue {

// Fills residuals and, when it is not null, their derivatives (row = residual, column = parameter).
// Answers false where the parameters can't be evaluated.
using ResidualFunction = std::function<bool(const Eigen::VectorXd& parameters,
                                            Eigen::VectorXd& residuals, Eigen::MatrixXd* jacobian)>;

struct LeastSquaresOptions {
  int most_steps = 200;          // 1 or more
  double smallest_step = 1e-13;  // relative step, > 0
  double smallest_gradient = 1e-14;
};

enum class StopReason {
  kConverged,  // ‖step‖ <= smallest_step·(‖p‖ + smallest_step), or max|Jᵀr| < smallest_gradient, or
               // no change in cost
  kStepsUsedUp,     // most_steps done
  kCannotEvaluate,  // the function refused the start, or gave a number that is not finite
};

struct LeastSquaresSummary {
  StopReason stop = StopReason::kCannotEvaluate;
  int steps = 0;
  double sum_of_squares = 0.0;  // ‖r‖² at the end
  int rank = 0;  // of the Jacobian; below the number of parameters some can't be told apart
  Eigen::VectorXd parameters;
  // (JᵀJ)⁻¹ at the end: the covariance if residuals have variance 1; times sum_of_squares/(n − p)
  // if their common variance is unknown. Empty where rank < number of parameters.
  Eigen::MatrixXd covariance;
};

[[nodiscard]] LeastSquaresSummary least_squares(const ResidualFunction& function,
                                                int residual_count, const Eigen::VectorXd& start,
                                                const LeastSquaresOptions& options = {});

}  // namespace runtrue
