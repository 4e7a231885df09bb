#include "power/witness_readings.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "power/air_power.h"
#include "power/binned_torque.h"
#include "power/pull_speeds.h"
#include "review/window.h"

namespace revwright {
namespace {

// Standard deviations as shares, common practice, no source, where none is named in the header.
constexpr double kMeterSd = 0.04, kStrangeMeterSd = 0.10;
constexpr double kUnitLevelSd = 0.05, kUnitTiltSd = 0.025, kUnitMeterSd = 0.025;
constexpr double kProbeLateS = 0.15, kUnitLateS = 0.03;  // what a channel tells is of so long before
constexpr double kReachS = 0.5;

/// Readings of a channel at the engine speeds of one pull; NaN where there is none.
struct AlongPull {
    Samples engine;
    std::vector<double> values;
};

AlongPull along(const PullView& view, const Channel& channel, double late_s) {
    const double from = built_up_from_s(view), to = view.pull.fuelled_to_s() - late_s;
    const Channel* engine = view.run->find(Signal::engine_speed_rpm);
    AlongPull found;
    if (engine == nullptr || to <= from) return found;
    found.engine = samples_within(view.run->log(), *engine, from, to);
    std::vector<double> times = found.engine.times;
    for (double& time : times) time += late_s;
    found.values = values_along(view.run->log().series(channel), times, kReachS);
    return found;
}

/// Whether a changed meter housing was left with its old curve.
bool meter_is_strange(const JobSheet& job) {
    return std::ranges::any_of(job.hardware, [](const Hardware& part) {
        return part.kind == HardwareKind::air_meter && part.rescaled.has_value() && !*part.rescaled;
    });
}

void add_air(const PullView& view, const Channel& air, std::vector<AirReading>& readings) {
    const AlongPull flow = along(view, air, 0.0);
    const Channel* probe = view.run->find(Signal::lambda);
    const AlongPull lambda = probe ? along(view, *probe, kProbeLateS) : AlongPull{};
    for (std::size_t i = 0; i < flow.values.size(); ++i) {
        if (!std::isfinite(flow.values[i])) continue;
        AirReading reading{.engine_speed_rpm = flow.engine.values[i], .air_mass_flow_g_s = flow.values[i]};
        if (i < lambda.values.size() && std::isfinite(lambda.values[i])) reading.lambda = lambda.values[i];
        readings.push_back(reading);
    }
}

/// Whether the tables that the control unit works torque out from are those of the standard image.
bool torque_tables_standard(const RunView& run) {
    if (run.driven.standard) return true;
    if (run.driven.tables == nullptr) return false;
    const auto standard = std::ranges::find(run.driven.images, std::string("the standard image"), &JobImage::name);
    if (standard == run.driven.images.end() || standard->tables == nullptr) return false;
    if (!run.job->image) return false;
    for (const Role role :
         {Role::torque_to_charge, Role::charge_to_torque, Role::air_meter, Role::volumetric_efficiency}) {
        const auto tied = run.job->image->roles.find(role);
        if (tied == run.job->image->roles.end()) continue;
        for (const RoleTable& entry : tied->second) {
            const Table* own = run.driven.tables->find(entry.table);
            const Table* other = standard->tables->find(entry.table);
            if (own == nullptr || other == nullptr || own->values != other->values) return false;
        }
    }
    return true;
}

Witness witness_of(Result<TorqueEstimate> estimate) {
    if (!estimate) return {.refused = estimate.error().what};
    return {.estimate = std::move(*estimate)};
}

}  // namespace

Witness air_flow_witness(std::span<const RunView* const> runs) {
    std::vector<AirReading> readings;
    bool logged = false;
    for (const RunView* run : runs) {
        const Channel* air = run->find(Signal::air_mass_flow_g_s);
        if (air == nullptr) continue;
        logged = true;
        for (const Pull& pull : run->pulls)
            if (pull.kind == PullKind::acceleration) add_air({run, pull}, *air, readings);
    }
    if (!logged) return {.refused = "air_mass_flow_g_s is not logged"};
    const JobSheet& job = *runs.front()->job;
    return witness_of(air_power(readings, fuel_properties(job.fuel.ethanol_fraction),
                                meter_is_strange(job) ? kStrangeMeterSd : kMeterSd));
}

Witness control_unit_witness(std::span<const RunView* const> runs) {
    std::vector<TorqueReading> readings;
    bool logged = false, standard = true;
    for (const RunView* run : runs) {
        const Channel* torque = run->find(Signal::torque_nm);
        if (torque == nullptr) continue;
        logged = true;
        standard = standard && torque_tables_standard(*run);
        for (const Pull& pull : run->pulls) {
            if (pull.kind != PullKind::acceleration) continue;
            const AlongPull found = along({run, pull}, *torque, kUnitLateS);
            for (std::size_t i = 0; i < found.values.size(); ++i)
                if (std::isfinite(found.values[i])) readings.push_back({found.engine.values[i], found.values[i]});
        }
    }
    if (!logged) return {.refused = "torque_nm is not logged"};
    Witness witness =
        witness_of(binned_torque(readings, {.level = kUnitLevelSd, .tilt = kUnitTiltSd, .air_meter = kUnitMeterSd}));
    witness.combined = standard;
    if (!standard) witness.why_not = "the tables it is worked out from are not known to be those of the standard image";
    return witness;
}

}  // namespace revwright
