#include "power/combination.h"

#include <algorithm>
#include <cmath>

#include "power/agreement.h"
#include "power/method_weights.h"

namespace revwright {
namespace {

using Vector = Eigen::VectorXd;

/// The method whose speeds the combination covers.
const NamedEstimate& main_method(std::span<const NamedEstimate> methods) {
    const auto found = std::ranges::find_if(methods, [](const NamedEstimate& method) {
        return method.method == PowerMethod::road_load || method.method == PowerMethod::dynamometer;
    });
    return found == methods.end() ? methods.front() : *found;
}

/// One method on the speeds of the combination; NaN where it has none of them.
struct OnSpeeds {
    std::vector<Eigen::Index> places;  // into the method's own curve; -1 = none
    const TorqueEstimate* estimate = nullptr;
    Vector weight;
    double meter(Eigen::Index i) const { return estimate->air_meter.size() > 0 ? estimate->air_meter[i] : 0.0; }
};

OnSpeeds on_speeds(const TorqueEstimate& estimate, const std::vector<double>& speeds) {
    OnSpeeds found{
        .places = {}, .estimate = &estimate, .weight = Vector::Zero(static_cast<Eigen::Index>(speeds.size()))};
    for (const double rpm : speeds) {
        const auto place = std::ranges::lower_bound(estimate.engine_speed_rpm, rpm);
        const bool there = place != estimate.engine_speed_rpm.end() && *place == rpm;
        found.places.push_back(there ? place - estimate.engine_speed_rpm.begin() : Eigen::Index{-1});
    }
    return found;
}

/// Sets the weights of all methods at one speed.
void weigh(std::vector<OnSpeeds>& methods, std::size_t speed) {
    std::vector<OnSpeeds*> there;
    for (OnSpeeds& method : methods)
        if (method.places[speed] >= 0) there.push_back(&method);
    const auto count = static_cast<Eigen::Index>(there.size());
    Eigen::MatrixXd covariance(count, count);
    for (Eigen::Index a = 0; a < count; ++a)
        for (Eigen::Index b = 0; b < count; ++b) {
            const OnSpeeds &one = *there[static_cast<std::size_t>(a)], &other = *there[static_cast<std::size_t>(b)];
            const Eigen::Index i = one.places[speed], k = other.places[speed];
            covariance(a, b) = one.meter(i) * other.meter(k) + (a == b ? one.estimate->covariance(i, i) : 0.0);
        }
    const Vector weights = weights_for(covariance);
    for (Eigen::Index a = 0; a < count; ++a)
        there[static_cast<std::size_t>(a)]->weight[static_cast<Eigen::Index>(speed)] = weights[a];
}

/// The weighted sum of the methods, each of whose errors goes through its weights.
TorqueEstimate weighted_sum(const std::vector<OnSpeeds>& methods, std::vector<double> speeds) {
    const auto size = static_cast<Eigen::Index>(speeds.size());
    TorqueEstimate sum{std::move(speeds), Vector::Zero(size), Eigen::MatrixXd::Zero(size, size), Vector::Zero(size)};
    for (const OnSpeeds& method : methods) {
        const auto at = [&](Eigen::Index i) {
            return std::max<Eigen::Index>(0, method.places[static_cast<std::size_t>(i)]);
        };
        for (Eigen::Index i = 0; i < size; ++i) {
            if (method.weight[i] == 0.0) continue;
            sum.torque_nm[i] += method.weight[i] * method.estimate->torque_nm[at(i)];
            sum.air_meter[i] += method.weight[i] * method.meter(at(i));
            for (Eigen::Index k = 0; k < size; ++k)
                if (method.weight[k] != 0.0)
                    sum.covariance(i, k) +=
                        method.weight[i] * method.weight[k] * method.estimate->covariance(at(i), at(k));
        }
    }
    return sum;
}

}  // namespace

Result<Combination> combine(std::span<const NamedEstimate> methods) {
    if (methods.empty()) return refuse("there is no method to combine");
    const std::vector<double>& speeds = main_method(methods).estimate.engine_speed_rpm;
    std::vector<OnSpeeds> placed;
    for (const NamedEstimate& method : methods) placed.push_back(on_speeds(method.estimate, speeds));
    for (std::size_t i = 0; i < speeds.size(); ++i) weigh(placed, i);
    Combination found{weighted_sum(placed, speeds), agreement_of(methods)};
    if (!found.agreement.consistent) {
        const double wider = std::max(1.0, found.agreement.birge_ratio);
        found.estimate.covariance *= wider * wider;
        found.estimate.air_meter *= wider;
    }
    return found;
}

}  // namespace revwright
