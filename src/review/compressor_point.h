#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "model/compressor_map.h"
#include "physics/compressor.h"
#include "review/checks.h"
#include "review/run_view.h"

namespace revwright {

/// The turbocharger of the sheet, in the air of one run.
struct FittedCompressor {
    const CompressorMap* map = nullptr;
    CompressorReference reference;
    double max_speed_rpm = 0.0;
    Temperature inlet;  // of the outside air
};

/// Where a run's compressor worked at one moment, with one standard deviation of each.
struct CompressorPoint {
    double time_s = 0.0;
    MassFlow flow;  // corrected
    double ratio = 1.0;
    double flow_sd = 0.0;   // share of flow
    double ratio_sd = 0.0;  // of the ratio
};

/// The hardware entry that is a turbocharger, if the sheet has one.
const Hardware* turbocharger_of(const JobSheet& job);

/// Nothing where no_compressor_map() has something to say.
std::optional<FittedCompressor> fitted_compressor(const RunView& run);

/// At each air flow sample of the pull: flow from the meter, ratio from boost plus the cooler's pressure drop over
/// ambient pressure less the intake's; both drops grow with the square of flow. Points slower than the map are left
/// out.
std::vector<CompressorPoint> compressor_points(const PullView& view, const FittedCompressor& compressor);

/// A figure of a point, and its standard deviation by the point's (first order, by differences).
struct Modelled {
    double mean = 0.0, sd = 0.0;
};
Modelled spread(const CompressorPoint& point, const std::function<double(MassFlow, double ratio)>& figure);

}  // namespace revwright
