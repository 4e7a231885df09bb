#include "naming/ambient.h"

#include <algorithm>
#include <cmath>

#include "core/unit.h"

namespace revwright {
AmbientPressure::AmbientPressure(const Log& log, double otherwise) : otherwise_(otherwise) {
    const Channel* channel = log.find(Signal::ambient_pressure_kpa);
    if (channel == nullptr) return;
    const Series logged = log.series(*channel);
    for (std::size_t i = 0; i < logged.size(); ++i) {
        if (std::isnan(logged.values[i])) continue;
        seconds_.push_back(logged.times[i]);
        values_.push_back(logged.values[i]);
    }
}

double AmbientPressure::at(double seconds) const {
    if (!is_logged()) return otherwise_;
    return value_at({seconds_, values_}, std::clamp(seconds, seconds_.front(), seconds_.back()));
}

void AmbientPressure::add_to(Channel& gauge, const TimeBase& base) const {
    const auto from_kpa = conversion("kPa", gauge.unit);
    if (!from_kpa) return;  // not a pressure: refused before
    for (std::size_t i = 0; i < gauge.values.size(); ++i) gauge.values[i] += (*from_kpa)(at(base.seconds[i]));
}

}  // namespace revwright
