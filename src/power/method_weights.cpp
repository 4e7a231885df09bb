#include "power/method_weights.h"

#include <Eigen/Cholesky>
#include <numeric>
#include <vector>

namespace revwright {

Eigen::VectorXd weights_for(const Eigen::MatrixXd& covariance) {
    std::vector<Eigen::Index> kept(static_cast<std::size_t>(covariance.rows()));
    std::iota(kept.begin(), kept.end(), Eigen::Index{0});
    while (true) {
        const Eigen::MatrixXd among = covariance(kept, kept);
        const Eigen::VectorXd ones = Eigen::VectorXd::Ones(among.rows());
        const Eigen::VectorXd solved = among.ldlt().solve(ones);
        const Eigen::VectorXd weights = solved / solved.sum();
        Eigen::Index least = 0;
        if (weights.minCoeff(&least) >= 0.0 || kept.size() == 1) {
            Eigen::VectorXd all = Eigen::VectorXd::Zero(covariance.rows());
            for (std::size_t i = 0; i < kept.size(); ++i) all[kept[i]] = weights[static_cast<Eigen::Index>(i)];
            return all;
        }
        kept.erase(kept.begin() + least);
    }
}

}  // namespace revwright
