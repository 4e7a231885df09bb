#include "power/air_power.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <vector>

#include "power/binned_torque.h"

namespace revwright {
namespace {

constexpr double kRadPerRpm = std::numbers::pi / 30.0;
constexpr double kBestLambda = 0.88, kLeanLoss = 0.02 / (0.12 * 0.12), kRichLoss = 0.04 / (0.10 * 0.10);
constexpr double kLeanestFullLoad = 1.05;
constexpr double kUsualLambda = 0.88, kNoLambdaSd = 0.025;  // share of torque where the mixture is not logged
constexpr double kHeatingValueSd = 0.01;                    // of pump fuel; physics/fuel.h

}  // namespace

double air_efficiency(double engine_speed_rpm) {
    constexpr double kSlow = 0.325, kFall = 0.06, kFrom = 2500.0, kTo = 6000.0;
    return kSlow * (1.0 - kFall * (std::clamp(engine_speed_rpm, kFrom, kTo) - kFrom) / (kTo - kFrom));
}

double mixture_share(double lambda) {
    const double off = lambda - kBestLambda;
    const double bend = off > 0.0 ? kLeanLoss : kRichLoss;
    return (1.0 - bend * off * off) / std::max(1.0, lambda);
}

Result<TorqueEstimate> air_power(std::span<const AirReading> readings, const FuelProperties& fuel, double meter_sd) {
    const double per_kg_air = fuel.lower_heating_value.si / fuel.stoichiometric_air_fuel_ratio;
    std::vector<TorqueReading> torque;
    bool all_measured = true;
    for (const AirReading& reading : readings) {
        const double lambda = reading.lambda.value_or(kUsualLambda);
        all_measured = all_measured && reading.lambda.has_value();
        if (lambda > kLeanestFullLoad)
            return refuse(
                fmt::format("lambda is {:.2f} at {:.0f} rpm under full load: fuel limits the energy there, "
                            "and the efficiency of such running is not known",
                            lambda, reading.engine_speed_rpm));
        const double power = 0.001 * reading.air_mass_flow_g_s * per_kg_air * air_efficiency(reading.engine_speed_rpm) *
                             mixture_share(lambda);
        torque.push_back({reading.engine_speed_rpm, power / (reading.engine_speed_rpm * kRadPerRpm)});
    }
    const double mixture_sd = all_measured ? 0.01 : kNoLambdaSd;
    return binned_torque(torque, {.level = std::hypot(kAirEfficiencyLevelSd, kHeatingValueSd, mixture_sd),
                                  .tilt = kAirEfficiencyTiltSd,
                                  .air_meter = meter_sd});
}

}  // namespace revwright
