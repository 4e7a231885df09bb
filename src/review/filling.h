#pragma once

#include <map>
#include <optional>
#include <vector>

#include "review/run_view.h"

namespace revwright {

/// The volumetric efficiency at which air meter and speed-density agree, at one moment.
struct Filling {
    double time_s = 0.0;
    double speed_rpm = 0.0;
    double manifold_kpa = 0.0;
    double value = 0.0;         // meter's air per stroke over what the swept volume holds at manifold density
    double kelvin_per_s = 0.0;  // how fast the intake temperature moves: its sensor lags
};

/// At the meter's samples from `from_s` to `to_s` where the manifold's pressure stands still (15 kPa/s), so that its
/// own filling does not count. Manifold pressure, else boost while the throttle is open. Dry air, steady running.
/// Source: trapped_air() solved for its volumetric efficiency.
std::vector<Filling> fillings(const RunView& run, double from_s, double to_s);

/// Filling over engine speed, by medians of 250 rpm.
class FillingCurve {
public:
    explicit FillingCurve(const std::vector<Filling>& samples);
    /// Between the medians around; nothing where there is none within 250 rpm.
    std::optional<double> at(double speed_rpm) const;

private:
    std::map<int, double> medians_;  // by multiple of 250 rpm
};

}  // namespace revwright
