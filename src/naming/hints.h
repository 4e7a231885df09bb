#pragma once

#include <optional>
#include <string>
#include <vector>

namespace revwright {

/// What the job knows of a log before its channels are named. Each is optional; without it the log must tell.
struct NamingHints {
    std::optional<double> air_fuel_stoichiometric = {};  // of the job's fuel, kg air per kg fuel
    std::optional<double> ambient_pressure_kpa = {};     // where the log holds none
    std::string ambient_source = {};                     // "the job's run states it": said beside what rests on it
    std::vector<double> rpm_per_km_h = {};               // one per gear of the job's car
};

}  // namespace revwright
