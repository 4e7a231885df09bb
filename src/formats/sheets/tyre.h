#pragma once

#include <string_view>

#include "core/error.h"
#include "model/job.h"

namespace revwright::sheets {

/// Reads a radial tyre's size and service description: "225/45 R18 95Y", "225/45ZR18 (95Y)", "205/55R16". Spaces are
/// free, letters of either case. Errors carry no place: the caller knows it.
Result<Tyre> read_tyre(std::string_view text);

/// Outer diameter, metres: rim + 2 width x aspect.
double diameter_m(const Tyre& tyre);

/// Way rolled in one turn, metres: 3.05 x diameter for radials. Source: ETRTO factor as used by JRC (CO2MPAS
/// documentation); the ETRTO text itself was not read.
double rolling_circumference_m(const Tyre& tyre);

}  // namespace revwright::sheets
