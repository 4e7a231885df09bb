#include "recovery/second_generator/spoil.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <limits>

namespace revwright::second {
namespace {

constexpr double kClockStepS = 0.6;

double middle(const DrivenPull& pull) { return 0.5 * (pull.start_s + pull.end_s); }

template <class Spoiler>
void each_sample(Log& log, Signal signal, Spoiler spoiler) {
    for (Channel& channel : log.channels) {
        if (channel.key->signal != signal) continue;
        const auto& times = log.time_bases[channel.time_base].seconds;
        for (std::size_t i = 0; i < times.size(); ++i) spoiler(times[i], channel.values[i], i);
    }
}

void stick(Log& log, const Planted& planted, const DrivenPull& pull) {
    std::vector<Signal> movers{Signal::lambda};
    for (const Signal signal : {Signal::air_mass_flow_g_s, Signal::boost_pressure_kpa, Signal::manifold_pressure_kpa})
        if (log.find(signal)) movers.push_back(signal);
    const Signal stuck = movers[static_cast<std::size_t>(planted.cylinder) % movers.size()];
    double held = std::numeric_limits<double>::quiet_NaN();
    each_sample(log, stuck, [&](double t, double& value, std::size_t) {
        if (t < pull.start_s + 0.3 || t > pull.end_s + 4.0) return;
        if (std::isnan(held)) held = value;
        value = held;
    });
}

void lose_rows(Log& log, double from, double to) {
    for (std::size_t base = 0; base < log.time_bases.size(); ++base) {
        auto& times = log.time_bases[base].seconds;
        const auto lost = [&](double t) { return t > from && t < to; };
        for (Channel& channel : log.channels) {
            if (channel.time_base != base) continue;
            std::size_t kept = 0;
            for (std::size_t i = 0; i < times.size(); ++i)
                if (!lost(times[i])) channel.values[kept++] = channel.values[i];
            channel.values.resize(kept);
        }
        std::erase_if(times, lost);
    }
}

/// The sensor's highest reading, a little below the boost of the pulls.
void end_early(Log& log, const TraceCar& car) {
    const double ceiling = std::round(car.weather.ambient_kpa + 0.72 * car.boost_gauge_kpa);
    for (const Signal signal : {Signal::boost_pressure_kpa, Signal::manifold_pressure_kpa})
        each_sample(log, signal, [&](double, double& value, std::size_t) { value = std::min(value, ceiling); });
}

}  // namespace

void spoil(Log& log, const Planted& planted, const DrivenPath& path) {
    if (planted.row->spoil == Spoil::none || path.pulls.empty()) return;
    const DrivenPull& pull = path.pulls[static_cast<std::size_t>(planted.pull) % path.pulls.size()];
    const double centre = middle(pull);
    switch (planted.row->spoil) {
        case Spoil::stuck:
            return stick(log, planted, pull);
        case Spoil::gap: {
            const double half = 0.5 * planted.between(0.9, 1.5);
            return lose_rows(log, centre - half, centre + half);
        }
        case Spoil::dropout:
            return each_sample(log, Signal::lambda, [&](double t, double& value, std::size_t) {
                if (std::abs(t - centre) < 0.9) value = std::numeric_limits<double>::quiet_NaN();
            });
        case Spoil::spikes:
            return each_sample(log, Signal::lambda, [&](double t, double& value, std::size_t i) {
                if (t > pull.start_s + 1.2 && t < pull.end_s - 0.5 && i % 17 == 0) value += planted.between(0.25, 0.5);
            });
        case Spoil::ceiling:
            return end_early(log, *planted.car);
        case Spoil::none:
        case Spoil::clock:
            return;
    }
}

void run_clock_back(std::string& csv, const DrivenPath& path, ScoreCase& truth) {
    if (path.pulls.empty()) return;
    const double from = middle(path.pulls.front());
    const auto step = [&](double& t) { t -= t > from ? kClockStepS : 0.0; };
    for (auto& pull : truth.pulls) step(pull.start_s), step(pull.end_s);
    for (auto& stretch : truth.stretches) step(stretch.start_s), step(stretch.end_s);
    std::string spoiled;
    bool header = true;
    for (std::size_t at = 0; at < csv.size();) {
        const std::size_t end = std::min(csv.find('\n', at), csv.size() - 1);
        std::string line = csv.substr(at, end - at + 1);
        at = end + 1;
        double t = 0.0;
        const std::size_t comma = line.find(',');
        if (!header && std::from_chars(line.data(), line.data() + comma, t).ec == std::errc{} && t > from)
            line = fmt::format("{:.3f}{}", t - kClockStepS, line.substr(comma));
        spoiled += line;
        header = false;
    }
    csv = std::move(spoiled);
}

}  // namespace revwright::second
