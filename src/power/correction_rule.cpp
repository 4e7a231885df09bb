#include "power/correction_rule.h"

#include <fmt/format.h>

#include "physics/power_correction.h"

namespace revwright {
namespace {

/// Means over the runs; nothing where one of them tells no temperature or no pressure.
std::optional<PowerAir> air_of_all(std::span<const RunView* const> runs) {
    PowerAir mean;
    double humidity = 0.0;
    std::size_t humid = 0;
    for (const RunView* run : runs) {
        const auto temperature = run->ambient_temp_c();
        const Ambient pressure = run->ambient_pressure_kpa();
        if (!temperature || !pressure.known()) return std::nullopt;
        mean.temperature_c += temperature->value / static_cast<double>(runs.size());
        mean.pressure_kpa += pressure.value / static_cast<double>(runs.size());
        if (run->driven.run == nullptr || !run->driven.run->humidity_pct) continue;
        humidity += *run->driven.run->humidity_pct;
        ++humid;
    }
    if (runs.empty()) return std::nullopt;
    if (humid == runs.size()) mean.humidity_pct = humidity / static_cast<double>(humid);
    return mean;
}

TestAir test_air(const PowerAir& air) {
    TestAir test{.pressure = AbsolutePressure{Pressure{air.pressure_kpa * 1000.0}},
                 .temperature = Temperature{air.temperature_c + 273.15}};
    if (air.humidity_pct) test.humidity = RelativeHumidity{*air.humidity_pct / 100.0};
    return test;
}

}  // namespace

void decide_correction(const JobSheet& job, std::span<const RunView* const> runs, PowerSet& set) {
    set.air = air_of_all(runs);
    if (!set.air) {
        set.why_reference = "Not corrected: ambient temperature and pressure are neither logged nor stated.";
        return;
    }
    const PowerCorrection iso = iso_1585(test_air(*set.air)), sae = sae_j1349(test_air(*set.air));
    set.factors = {{"ISO 1585", iso.factor, iso.within_limits}, {"SAE J1349", sae.factor, sae.within_limits}};
    const std::string dry = set.air->humidity_pct ? "" : " Humidity is not known: the air is taken as dry.";
    if (job.engine.turbocharged()) {
        set.why_reference = "Not corrected: the boost control of a turbocharged engine makes up for the ambient air.";
    } else if (!iso.within_limits) {
        set.why_reference = fmt::format(
            "Not corrected: the factor of ISO 1585 for this air, {:.3f}, is beyond what the standard allows (0.93 to "
            "1.07).{}",
            iso.factor, dry);
    } else {
        set.reference = "ISO 1585";
        set.correction_factor = iso.factor;
        set.why_reference = fmt::format("Corrected to ISO 1585 by {:.3f}.{}", iso.factor, dry);
    }
}

}  // namespace revwright
