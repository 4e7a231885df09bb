#pragma once

#include <vector>

#include "model/description.h"

namespace revwright::rig {

/// One table of the example before it is coded: its description and the wanted physical values, row-major.
struct ExampleTable {
    TableDescription description;
    std::vector<std::vector<double>> axis_points;  // physical, one list per axis
    std::vector<double> wanted;
    bool round_down = false;  // spark is coded to the safe side
};

/// All tables of the example car's standard calibration. Values follow the nominal simulated engine: spark 4 to 6.5
/// degrees below its borderline, boost near 200 kPa, lambda from 1 at part load to 0.83.
std::vector<ExampleTable> example_tables();

/// The shared speed axis of lambda, boost and wastegate tables.
inline constexpr const char* kSharedSpeeds = "SPEEDS_12";

}  // namespace revwright::rig
