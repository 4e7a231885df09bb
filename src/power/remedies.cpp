#include "power/remedies.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

namespace revwright {
namespace {

constexpr double kRadPerRpm = std::numbers::pi / 30.0;

/// Parameters that one measurement settles, each to the sd that it would then have.
struct Measurement {
    std::string cause, what;
    std::vector<std::pair<Eigen::Index, double>> settles;
};

/// How well a workshop can measure; common practice, no source.
std::vector<Measurement> measurements(const RoadDrive& drive, const RoadFit& fit) {
    const RoadParameters& layout = fit.layout;
    const auto share = [&](Eigen::Index i, double part) { return std::pair(i, part * std::abs(fit.parameters[i])); };
    std::vector<Measurement> list{
        {"the mass of the car", "weigh the car as driven, to 5 kg", {{kMass, 5.0}}},
        {"the rolling circumference of the tyres",
         "measure the way of ten turns of a driven wheel under load",
         {share(kRadius, 0.002)}},
        {"the loss between crank and road",
         "measure the loss on a dynamometer that also runs the car down",
         {{kEfficiency, 0.005}}},
    };
    if (!drive.car.coasted)
        list.push_back({"rolling resistance and drag",
                        "coast down both ways on the same road and give that log as well",
                        {share(kDragA, 0.02), share(kDragC, 0.02)}});
    Measurement both{"slope and wind", "drive the same road both ways, within minutes", {{kSlope, 0.0003}}};
    for (std::size_t i = 0; i < drive.runs.size(); ++i) both.settles.emplace_back(layout.run(i) + 1, 0.3);
    list.push_back(std::move(both));
    return list;
}

/// Variance of row * parameters once the measurement is made.
double variance_with(const Measurement& made, const Eigen::VectorXd& row, const RoadFit& fit) {
    const auto size = static_cast<Eigen::Index>(made.settles.size());
    const Eigen::VectorXd moves = fit.covariance * row;
    Eigen::MatrixXd spread(size, size);
    Eigen::VectorXd with(size);
    for (Eigen::Index i = 0; i < size; ++i) {
        const auto [at, sd] = made.settles[static_cast<std::size_t>(i)];
        with[i] = moves[at];
        for (Eigen::Index k = 0; k < size; ++k)
            spread(i, k) = fit.covariance(at, made.settles[static_cast<std::size_t>(k)].first);
        spread(i, i) += sd * sd + 1e-12;
    }
    return row.dot(moves) - with.dot(spread.ldlt().solve(with));
}

/// The part of the variance that is left when everything but noise and the pulls' own effects is known.
double variance_of_pulls(const RoadFit& fit, const Eigen::VectorXd& row) {
    Measurement all{};
    for (Eigen::Index i = 0; i < fit.layout.effects; ++i)
        if (fit.layout.free[i] != 0.0) all.settles.emplace_back(i, 0.0);
    return all.settles.empty() ? row.dot(fit.covariance * row) : variance_with(all, row, fit);
}

}  // namespace

std::vector<PowerRemedy> remedies_of(const RoadDrive& drive, const RoadFit& fit, std::size_t curve,
                                     double engine_speed_rpm, double half_width_kw) {
    const Eigen::VectorXd row = fit.torque_row(curve, engine_speed_rpm * kRadPerRpm);
    const double whole = row.dot(fit.covariance * row);
    const auto remedy = [&](std::string cause, std::string what, double left) {
        return PowerRemedy{.cause = std::move(cause),
                           .measurement = std::move(what),
                           .share = 1.0 - left / whole,
                           .half_width_kw = half_width_kw * std::sqrt(left / whole)};
    };
    std::vector<PowerRemedy> remedies;
    for (const Measurement& each : measurements(drive, fit))
        remedies.push_back(remedy(each.cause, each.what, variance_with(each, row, fit)));
    remedies.push_back(remedy("the scatter of pulls and samples", "drive as many pulls again",
                              whole - 0.5 * variance_of_pulls(fit, row)));
    std::ranges::stable_sort(remedies, std::ranges::greater{}, &PowerRemedy::share);
    return remedies;
}

}  // namespace revwright
