#pragma once

#include <filesystem>
#include <optional>
#include <vector>

#include "recovery/power_cases.h"

namespace revwright {

/// One vehicle of the open set full-load-curves (European Commission, Joint Research Centre; EUPL-1.1), in SI.
struct FullLoadVehicle {
    int number = 0;
    double rated_kw = 0.0, rated_rpm = 0.0, mass_kg = 0.0;
    double f0_n = 0.0, f1_n_per_m_per_s = 0.0, f2_n_per_m2_per_s2 = 0.0;
    std::vector<double> rpm_per_km_h = {};  // of each gear
    std::vector<double> rpm = {}, kw = {};  // at full load

    double power_kw(double engine_speed_rpm) const;  // straight between the points
};

/// Those of engine.txt, gearbox.txt and vehicle.txt in `folder`; nothing where it is absent.
std::optional<std::vector<FullLoadVehicle>> read_full_load_vehicles(const std::filesystem::path& folder);

/// One pull along the whole curve in third gear, or the nearest lower one that still gains 0.5 m/s^2 at rated power;
/// road speed at 10 Hz with 0.05 m/s of noise; mass, road load and slope are told as they are.
/// The truth of its peak is the rated power of vehicle.txt.
PowerCase full_load_case(const FullLoadVehicle& vehicle, std::uint64_t seed);

}  // namespace revwright
