#include "power/dyno_estimate.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <vector>

#include "physics/vehicle.h"
#include "power/curve_grid.h"
#include "power/fitted_torque.h"
#include "power/pull_speeds.h"
#include "power/road_fit.h"
#include "power/road_knowledge.h"
#include "review/places.h"

namespace revwright {
namespace {

// Standard deviations, common practice, no source.
constexpr double kRollerSd = 0.01, kPullEffectSd = 0.007;       // shares
constexpr double kTyreOnRoller = 0.015, kTyreOnRollerSd = 0.4;  // rolling coefficient; share of it
constexpr double kOnDrivenAxle = 0.55;                          // share of the car's weight
constexpr double kBrakeSd = 0.015;                              // share
constexpr std::size_t kLeastHolds = 3;

struct Settled {
    double engine_speed_rpm = 0.0, torque_nm = 0.0, variance = 0.0;
};

double mean(const std::vector<double>& values) {
    double sum = 0.0;
    for (const double value : values) sum += value;
    return sum / static_cast<double>(values.size());
}

std::vector<Settled> settled_points(std::span<const RunView* const> runs) {
    std::vector<Settled> points;
    for (const RunView* run : runs)
        for (const Pull& pull : run->pulls) {
            if (pull.kind != PullKind::hold) continue;
            const PullView view{run, pull};
            const Samples torque = view.samples(Signal::dyno_torque_nm), speed = view.samples(Signal::engine_speed_rpm);
            if (torque.values.empty() || speed.values.empty()) continue;
            Settled point{mean(speed.values), mean(torque.values)};
            for (const double value : torque.values)
                point.variance += std::pow((value - point.torque_nm) / static_cast<double>(torque.values.size()), 2);
            points.push_back(point);
        }
    std::ranges::sort(points, {}, &Settled::engine_speed_rpm);
    return points;
}

Witness from_holds(const std::vector<Settled>& holds) {
    if (holds.size() < kLeastHolds)
        return {.refused =
                    fmt::format("{} holds with dyno_torque_nm on the brake dynamometer are too few, {} are needed",
                                holds.size(), kLeastHolds)};
    TorqueEstimate found{.engine_speed_rpm = curve_grid(holds.front().engine_speed_rpm, holds.back().engine_speed_rpm)};
    const auto size = static_cast<Eigen::Index>(found.engine_speed_rpm.size());
    if (size == 0) return {.refused = "the holds on the brake dynamometer cover too few engine speeds"};
    found.torque_nm.resize(size);
    Eigen::MatrixXd weights = Eigen::MatrixXd::Zero(size, static_cast<Eigen::Index>(holds.size()));
    Eigen::VectorXd variances(static_cast<Eigen::Index>(holds.size()));
    for (std::size_t i = 0; i < holds.size(); ++i) variances[static_cast<Eigen::Index>(i)] = holds[i].variance;
    for (Eigen::Index i = 0; i < size; ++i) {
        const double rpm = found.engine_speed_rpm[static_cast<std::size_t>(i)];
        const auto above = std::ranges::lower_bound(holds, rpm, {}, &Settled::engine_speed_rpm);
        const Settled &low = *(above - 1), &high = *above;
        const double part = (rpm - low.engine_speed_rpm) / (high.engine_speed_rpm - low.engine_speed_rpm);
        found.torque_nm[i] = low.torque_nm + part * (high.torque_nm - low.torque_nm);
        weights(i, above - holds.begin() - 1) = 1.0 - part;
        weights(i, above - holds.begin()) = part;
    }
    found.covariance = weights * variances.asDiagonal() * weights.transpose() +
                       std::pow(kBrakeSd, 2) * found.torque_nm * found.torque_nm.transpose();
    return {.estimate = std::move(found)};
}

/// The pulls on rollers, as pulls of a road without air and slope; why some are not among them.
struct RollerPulls {
    RoadDrive drive = {};
    double inertia_kg_m2 = 0.0, low_rpm = 1e9, high_rpm = 0.0;
    std::string left_out = {};
};

RollerPulls pulls_on_rollers(std::span<const RunView* const> runs) {
    RollerPulls found;
    for (const RunView* run : runs) {
        if (place_of(*run) != RunPlace::inertia_dyno) continue;
        found.inertia_kg_m2 = run->driven.run->roller_inertia_kg_m2.value();
        const Car& car = run->job->car;
        for (const Pull& pull : run->pulls) {
            if (pull.kind != PullKind::acceleration || !pull.gear) continue;
            const auto speeds = speeds_of({run, pull});
            if (!speeds) {
                found.left_out += fmt::format(": pull {} {}", pull.index, speeds.error().what);
                continue;
            }
            found.low_rpm = std::min(found.low_rpm, speeds->from_rpm);
            found.high_rpm = std::max(found.high_rpm, speeds->to_rpm);
            found.drive.pulls.push_back(
                {.overall_ratio = car.gear_ratios[static_cast<std::size_t>(*pull.gear - 1)] * car.final_drive,
                 .engine_rad_s = speeds->engine_rad_s});
        }
    }
    return found;
}

/// The car as on the road, but for what a roller takes the place of.
RoadCar car_on_roller(const RunView& run, double ratio, double inertia_kg_m2) {
    std::vector<std::string> said_of_the_road;
    RoadCar car = car_of(*run.job, air_of(run), ratio, std::nullopt, said_of_the_road);
    const double mass = inertia_kg_m2 / std::pow(car.rolling_radius_m.mean, 2);
    const double rolling = kTyreOnRoller * kOnDrivenAxle * run.job->car.mass_kg * kGravity.si;
    car.mass_kg = {mass, kRollerSd * mass};
    car.a_n = {rolling, kTyreOnRollerSd * rolling};
    car.b_n_per_m_per_s = {};
    car.c_n_per_m2_per_s2 = {};
    car.wheel_inertia_kg_m2 *= 0.5;
    return car;
}

Witness from_rollers(std::span<const RunView* const> runs) {
    RollerPulls found = pulls_on_rollers(runs);
    if (found.drive.pulls.empty())
        return {.refused = "no full-load pull on the inertia dynamometer can be used" + found.left_out};
    found.drive.car = car_on_roller(*runs.front(), found.drive.pulls.front().overall_ratio, found.inertia_kg_m2);
    found.drive.pull_effect = {0.0, kPullEffectSd};
    found.drive.runs.resize(1);
    const auto fit = fit_road(found.drive);
    if (!fit) return {.refused = fit.error().what};
    TorqueEstimate estimate = torque_of(*fit, 0, curve_grid(found.low_rpm, found.high_rpm));
    if (estimate.engine_speed_rpm.empty())
        return {.refused = "the pulls on the inertia dynamometer cover too few engine speeds"};
    return {.estimate = std::move(estimate)};
}

}  // namespace

Witness dynamometer_witness(std::span<const RunView* const> runs) {
    const auto at = [&](RunPlace place) {
        return std::ranges::any_of(runs, [place](const RunView* run) { return place_of(*run) == place; });
    };
    if (at(RunPlace::brake_dyno)) return from_holds(settled_points(runs));
    if (at(RunPlace::inertia_dyno)) return from_rollers(runs);
    return {};
}

}  // namespace revwright
