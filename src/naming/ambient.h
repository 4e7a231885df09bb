#pragma once

#include <vector>

#include "model/log.h"
#include "numeric/series.h"

namespace revwright {

/// The air pressure around the car, to turn gauge into absolute pressure.
class AmbientPressure {
public:
    /// From the log's ambient_pressure_kpa channel, which must already be in kPa; `otherwise` where there is none.
    AmbientPressure(const Log& log, double otherwise);
    bool is_logged() const { return !values_.empty(); }
    /// kPa at a time: between samples linear, before the first and after the last held; the same always where none is
    /// logged.
    double at(double seconds) const;
    /// Makes a gauge channel absolute, in the channel's own unit.
    void add_to(Channel& gauge, const TimeBase& base) const;

private:
    std::vector<double> seconds_, values_;  // without blanks
    double otherwise_;
};

}  // namespace revwright
