#include "rig/spoil.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

namespace revwright::rig {
namespace {

constexpr double kSensorEndShare = 0.93;  // of the highest pressure of the drive
constexpr double kClockStepS = 0.5;

Signal stuck_signal(const PlantedFaults& faults) {
    constexpr Signal kMovers[] = {Signal::boost_pressure_kpa, Signal::air_mass_flow_g_s, Signal::lambda};
    return kMovers[faults.stuck_channel()];
}

void stick(std::span<const double> seconds, const TruthPull& pull, std::vector<double>& values) {
    double held = std::numeric_limits<double>::quiet_NaN();
    for (std::size_t i = 0; i < seconds.size(); ++i) {
        if (seconds[i] < pull.start_s - 3.0 || seconds[i] > pull.end_s + 3.0) continue;
        if (std::isnan(held)) held = values[i];
        values[i] = held;
    }
}

void drop_out(std::span<const double> seconds, double middle_s, std::vector<double>& values) {
    for (std::size_t i = 0; i < seconds.size(); ++i)
        if (std::abs(seconds[i] - middle_s) <= 1.25) values[i] = std::numeric_limits<double>::quiet_NaN();
}

/// Three lone samples, a second apart, far from their neighbours.
void add_spikes(std::span<const double> seconds, double middle_s, std::vector<double>& values) {
    for (const double at : {middle_s - 1.0, middle_s, middle_s + 1.0}) {
        const auto sample = std::ranges::lower_bound(seconds, at) - seconds.begin();
        if (sample < std::ssize(seconds)) values[static_cast<std::size_t>(sample)] = 1.6;
    }
}

void cut_off(std::vector<double>& values) {
    const double end = kSensorEndShare * std::ranges::max(values);
    for (double& value : values) value = std::min(value, end);
}

void lose_rows(double middle_s, Log& log) {
    auto& seconds = log.time_bases.front().seconds;
    const auto lost = [&](double t) { return std::abs(t - middle_s) <= 0.75; };
    for (Channel& channel : log.channels) {
        std::size_t kept = 0;
        for (std::size_t i = 0; i < seconds.size(); ++i)
            if (!lost(seconds[i])) channel.values[kept++] = channel.values[i];
        channel.values.resize(kept);
    }
    std::erase_if(seconds, lost);
}

/// From the middle on the clock is behind. The reader will leave out the rows whose time was there before.
void set_clock_back(double middle_s, Log& log, Truth& truth) {
    const auto step = [&](double& t) { t -= t >= middle_s ? kClockStepS : 0.0; };
    for (double& t : log.time_bases.front().seconds) step(t);
    for (TruthPull& pull : truth.pulls) step(pull.start_s), step(pull.end_s);
    for (TruthExcluded& stretch : truth.excluded) step(stretch.start_s), step(stretch.end_s);
    for (TruthKnock& knock : truth.knocks) step(knock.time_s);
}

}  // namespace

void spoil_log(const PlantedFaults& faults, Log& log, Truth& truth) {
    const TruthPull* pull = spoiled_pull(faults, truth.pulls);
    if (pull == nullptr) return;
    const double middle = 0.5 * (pull->start_s + pull->end_s);
    const auto& seconds = log.time_bases.front().seconds;
    for (Channel& channel : log.channels) {
        const Signal signal = channel.key ? channel.key->signal : Signal::time_s;
        if (faults.has("stuck-channel") && signal == stuck_signal(faults)) stick(seconds, *pull, channel.values);
        if (faults.has("sensor-dropout") && signal == Signal::lambda) drop_out(seconds, middle, channel.values);
        if (faults.has("spikes") && signal == Signal::lambda) add_spikes(seconds, middle, channel.values);
        if (faults.has("clipped-pressure") &&
            (signal == Signal::boost_pressure_kpa || signal == Signal::manifold_pressure_kpa))
            cut_off(channel.values);
    }
    if (faults.has("log-gap")) lose_rows(middle, log);
    if (faults.has("clock-runs-back")) set_clock_back(middle, log, truth);
}

}  // namespace revwright::rig
