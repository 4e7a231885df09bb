#include "power/road_motion.h"

#include <cmath>

#include "physics/vehicle.h"

namespace revwright {
namespace {

constexpr double kG = kGravity.si;
using Vector = Eigen::VectorXd;

}  // namespace

double RoadMotion::effective_mass(const Vector& p) const {
    const double r = p[kRadius], R = metres_per_radian(p);
    return car_mass(p) + 4.0 * drive_.car.wheel_inertia_kg_m2 / (r * r) + engine_inertia() / (R * R);
}

RoadMotion::Air RoadMotion::air(const Vector& p) const {
    const Eigen::Index own = layout_.run(pull_.run);
    return {pull_.along * (run_.along * p[kSlope] + p[own]), pull_.along * (run_.along * p[kWind] + p[own + 1])};
}

double RoadMotion::resistance(const Vector& p, double v) const {
    const auto [slope, headwind] = air(p);
    const double through_air = v + headwind;
    return p[kDragA] + p[kDragB] * v + p[kDragC] * through_air * std::abs(through_air) + car_mass(p) * kG * slope;
}

double RoadMotion::rate_without_torque(const Vector& p, double engine_rad_s) const {
    const double R = metres_per_radian(p);
    return -resistance(p, engine_rad_s * R) / (R * effective_mass(p));
}

double RoadMotion::rate_of_torque(const Vector& p) const {
    const double R = metres_per_radian(p);
    return (1.0 + p[effect_]) * p[kEfficiency] / (R * R * effective_mass(p));
}

double RoadMotion::rate(const Vector& p, double w, const Vector& by, Vector& by_rate) const {
    const double r = p[kRadius], R = metres_per_radian(p), v = w * R;
    const SplineBasis basis = layout_.spline.at(w);
    const Eigen::Index first = layout_.curve(pull_.curve) + static_cast<Eigen::Index>(basis.first);
    double torque = 0.0, torque_slope = 0.0;
    for (Eigen::Index k = 0; k < 4; ++k) {
        torque += basis.value[static_cast<std::size_t>(k)] * p[first + k];
        torque_slope += basis.slope[static_cast<std::size_t>(k)] * p[first + k];
    }
    const double mass = effective_mass(p), D = R * mass, push = (1.0 + p[effect_]) * p[kEfficiency] / R;
    const double rate = (torque * push - resistance(p, v)) / D;

    const auto [slope, headwind] = air(p);
    const double through_air = v + headwind, drag = 2.0 * p[kDragC] * std::abs(through_air);
    const Eigen::Index own = layout_.run(pull_.run);
    by_rate = (torque_slope * push - (p[kDragB] + drag) * R) / D * by;
    for (Eigen::Index k = 0; k < 4; ++k) by_rate[first + k] += basis.value[static_cast<std::size_t>(k)] * push / D;
    by_rate[kMass] -= (kG * slope + rate * R) / D;
    // By R, through force, road speed and both inertias; R moves by 1 / ratio of the radius.
    const double mass_by_R = -8.0 * drive_.car.wheel_inertia_kg_m2 * pull_.overall_ratio / (r * r * r) -
                             2.0 * engine_inertia() / (R * R * R);
    const double force_by_R = -torque * push / R - (p[kDragB] + drag) * w;
    by_rate[kRadius] += (force_by_R - rate * (mass + R * mass_by_R)) / D / pull_.overall_ratio;
    by_rate[kEfficiency] += (1.0 + p[effect_]) * torque / R / D;
    by_rate[effect_] += torque * p[kEfficiency] / R / D;
    by_rate[kDragA] -= 1.0 / D;
    by_rate[kDragB] -= v / D;
    by_rate[kDragC] -= through_air * std::abs(through_air) / D;
    const double by_slope = -pull_.along * car_mass(p) * kG / D, by_wind = -pull_.along * drag / D;
    by_rate[kSlope] += run_.along * by_slope;
    by_rate[kWind] += run_.along * by_wind;
    by_rate[own] += by_slope;
    by_rate[own + 1] += by_wind;
    return rate;
}

}  // namespace revwright
