#pragma once

#include <Eigen/Core>

namespace revwright {

/// Weights of least variance that add up to 1 and are not negative, for estimates of one quantity with this covariance.
///
/// Source: [Aitken1936] for generalised least squares (from memory); a weight that would be negative is left out, the
/// most negative first, and the rest solved again.
Eigen::VectorXd weights_for(const Eigen::MatrixXd& covariance);

}  // namespace revwright
