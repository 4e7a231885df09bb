#include "power/coastdown_estimate.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "power/coastdown.h"
#include "power/coasting.h"
#include "power/road_knowledge.h"
#include "review/directions.h"

namespace revwright {
namespace {

constexpr double kKmHPerMs = 3.6;
// Standard deviations, common practice, no source.
constexpr double kGustyWindSd = 0.5;                               // m/s, between stretches of a day
constexpr double kSatelliteScaleSd = 0.002, kWheelScaleSd = 0.02;  // shares
constexpr double kWorstResistanceSd = 0.15;  // share at the middle speed: beyond, the sheet knows better

struct Coasting {
    std::vector<CoastStretch> stretches = {};
    std::vector<const RunView*> runs = {};  // of each
};

Coasting all_coasting(std::span<const RunView> runs) {
    Coasting found;
    for (const RunView& run : runs)
        for (CoastStretch& stretch : coasting_of(run)) {
            found.stretches.push_back(std::move(stretch));
            found.runs.push_back(&run);
        }
    return found;
}

/// +1 for stretches that went as the first did, -1 the other way, 0 across.
std::vector<double> ways_of(const std::vector<CoastStretch>& stretches) {
    std::vector<Pull> as_pulls;
    for (const CoastStretch& each : stretches)
        as_pulls.push_back({.log = each.what.log, .direction = each.what.direction, .heading_deg = each.heading_deg});
    std::vector<double> ways;
    for (const Pull& pull : as_pulls)
        ways.push_back(pull.direction == as_pulls.front().direction ? 1.0
                       : opposite(as_pulls.front(), pull, as_pulls) ? -1.0
                                                                    : 0.0);
    return ways;
}

CoastdownTest test_of(const JobSheet& job, const Coasting& coasting) {
    const Car& car = job.car;
    const double radius = car.rolling_circumference_m / (2.0 * std::numbers::pi);
    const std::vector<double> ways = ways_of(coasting.stretches);
    const bool both = std::ranges::count(ways, -1.0) > 0;
    // What is not known of the mass scales the whole: whoever uses the figures lets it.
    CoastdownTest test{.mass_kg = {car.mass_kg, 0.0},
                       .turning_mass_kg = {4.0 * car.wheel_inertia_kg_m2 / (radius * radius), 0.0},
                       .slope = {0.0, both ? kFreeSlopeSd : kUnknownSlopeSd},
                       .headwind_m_per_s = {0.0, kWindSd}};
    bool all_stated = true;
    for (std::size_t i = 0; i < ways.size(); ++i) {
        RoadRun road = run_of(*coasting.runs[i], 0.0);
        all_stated = all_stated && road.slope.mean != 0.0;
        road.along = ways[i];
        road.headwind_m_per_s = {0.0, ways[i] == 0.0 ? kWindSd : kGustyWindSd};
        if (ways[i] == 0.0) road.slope.sd = kUnknownSlopeSd;
        if (ways[i] < 0.0) road.slope.mean = -road.slope.mean;  // stated as the run was driven
        test.runs.push_back({road, coasting.stretches[i].speed_m_per_s});
    }
    if (all_stated) test.slope.sd = kStatedSlopeSd;
    return test;
}

/// A speed that reads too high by a share shows forces too high by that, and drag at too high speeds.
Eigen::Matrix3d scale_covariance(const Coasting& coasting, const Eigen::Vector3d& load) {
    const auto by_satellite = [](const CoastStretch& each) { return each.what.speed_of == "gnss_speed_km_h"; };
    const double sd = std::ranges::all_of(coasting.stretches, by_satellite) ? kSatelliteScaleSd : kWheelScaleSd;
    const Eigen::Vector3d moves(load[0], 0.0, -load[2]);
    return sd * sd * moves * moves.transpose();
}

Uncertain resistance(const CoastedLoad& car, double v) {
    const Eigen::Vector3d row(1.0, v, v * v);
    return {row.dot(car.load), std::sqrt(row.dot(car.covariance * row))};
}

}  // namespace

CoastedLoad in_air(const CoastedRoad& coasted, Density air) {
    const Eigen::Vector3d share(1.0, 1.0, air.si / coasted.air_density_kg_m3);
    return {.load = share.cwiseProduct(coasted.car.load),
            .covariance = share.asDiagonal() * coasted.car.covariance * share.asDiagonal(),
            .mass_kg = coasted.car.mass_kg};
}

CoastdownEstimate coastdown_estimate(const JobSheet& job, std::span<const RunView> runs) {
    const Coasting coasting = all_coasting(runs);
    if (coasting.stretches.empty()) return {};
    CoastdownEstimate found{.told = PowerCoastdown{}};
    PowerCoastdown& told = *found.told;
    double slowest = INFINITY, fastest = 0.0;
    for (const CoastStretch& each : coasting.stretches) {
        told.stretches.push_back(each.what);
        slowest = std::min(slowest, each.what.to_km_h / kKmHPerMs);
        fastest = std::max(fastest, each.what.from_km_h / kKmHPerMs);
    }
    const CoastdownTest test = test_of(job, coasting);
    const auto fit = fit_coastdown(test);
    if (!fit) {
        told.refused = fit.error().what;
        return found;
    }
    CoastedRoad road{{fit->load, fit->covariance + scale_covariance(coasting, fit->load),
                      test.mass_kg.mean + test.turning_mass_kg.mean},
                     air_of(*coasting.runs.front()).si};
    const Uncertain middle = resistance(road.car, 0.5 * (slowest + fastest));
    if (!(middle.mean > 0.0 && middle.sd < kWorstResistanceSd * middle.mean)) {
        told.refused =
            "these stretches tell the resistance to no better than the job sheet does: more of them are needed, "
            "driven both ways";
        return found;
    }
    told.a_n = fit->load[0], told.b_n_per_m_s = fit->load[1], told.c_n_per_m2_s2 = fit->load[2];
    told.air_density_kg_m3 = road.air_density_kg_m3;
    for (double v = std::ceil(slowest * kKmHPerMs / 20.0) * 20.0; v <= fastest * kKmHPerMs; v += 20.0) {
        const Uncertain force = resistance(road.car, v / kKmHPerMs);
        told.resistance.push_back({v, force.mean, force.sd});
    }
    found.road = road;
    return found;
}

}  // namespace revwright
