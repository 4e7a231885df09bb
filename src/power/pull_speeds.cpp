#include "power/pull_speeds.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "review/places.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kRadPerRpm = std::numbers::pi / 30.0;
constexpr double kKmHPerMs = 3.6;
// All our choice, common practice, no source.
constexpr double kTakeUpSeconds = 0.3;   // the driveline winds up, the driver's foot comes down
constexpr double kTailSeconds = 0.1;     // before lift-off
constexpr double kBuiltUpShare = 0.9;    // of the highest charge of the pull
constexpr double kNoBoostSeconds = 1.0;  // a turbocharged engine without a logged boost
constexpr double kSlowerThanRows = 0.7;  // renewed at less than this share of the rows: rows repeat
constexpr double kInputSlip = 0.015;     // gearbox input against engine

SpeedSamples scaled(const Samples& samples, double factor) {
    SpeedSamples speed{samples.times, samples.values};
    for (double& value : speed.value) value *= factor;
    return speed;
}

/// Median share by which the gearbox input turns slower than the engine; nothing where it is not logged.
std::optional<double> input_slip(const PullView& view, const Samples& engine) {
    const Channel* channel = view.run->find(Signal::gearbox_input_rpm);
    if (channel == nullptr) return std::nullopt;
    const std::vector<double> input = values_along(view.run->log().series(*channel), engine.times, 1.0);
    std::vector<double> slips;
    for (std::size_t i = 0; i < input.size(); ++i)
        if (std::isfinite(input[i]) && input[i] > 0.0) slips.push_back(engine.values[i] / input[i] - 1.0);
    if (slips.size() < kLeastRenewals) return std::nullopt;
    return median(std::move(slips));
}

}  // namespace

std::string clock_fault(const Log& log, double from_s, double to_s) {
    for (const QualityNote& note : log.quality) {
        if (note.start_s > to_s || note.end_s < from_s) continue;
        if (note.kind == "time-missing") return "the log has no time of its own there: " + note.text;
        if (note.kind == "time-coarse") return "the clock of the log is too coarse: " + note.text;
    }
    return {};
}

Samples renewed(const Channel& channel, const Samples& all) {
    const double rows_hz = 1.0 / std::max(1e-6, typical_interval(all.times));
    if (!channel.refresh_hz || *channel.refresh_hz >= kSlowerThanRows * rows_hz) return all;
    Samples fresh;
    for (std::size_t i = 1; i < all.times.size(); ++i) {
        if (all.values[i] == all.values[i - 1]) continue;
        fresh.times.push_back(all.times[i]);
        fresh.values.push_back(all.values[i]);
    }
    return fresh;
}

double built_up_from_s(const PullView& view) {
    const double earliest = view.pull.start_s + kTakeUpSeconds;
    if (!view.job().engine.turbocharged()) return earliest;
    Samples charge = view.boost();
    if (charge.values.empty()) charge = view.samples(Signal::charge_pct);
    if (charge.values.empty()) return view.pull.start_s + kNoBoostSeconds;
    const double enough = kBuiltUpShare * std::ranges::max(charge.values);
    const auto first = std::ranges::find_if(charge.values, [&](double value) { return value >= enough; });
    return std::max(earliest, charge.times[static_cast<std::size_t>(first - charge.values.begin())]);
}

Result<PullSpeeds> speeds_of(const PullView& view) {
    const double from = built_up_from_s(view), to = view.pull.fuelled_to_s() - kTailSeconds;
    if (const std::string fault = clock_fault(view.run->log(), from, to); !fault.empty()) return refuse(fault);
    const Channel* engine = view.run->find(Signal::engine_speed_rpm);
    if (engine == nullptr) return refuse("has no engine speed that can be trusted");
    const Samples speed = renewed(*engine, samples_within(view.run->log(), *engine, from, to));
    const double seconds = speed.times.empty() ? 0.0 : speed.times.back() - speed.times.front();
    const double rate = seconds > 0.0 ? static_cast<double>(speed.times.size() - 1) / seconds : 0.0;
    if (speed.times.size() < kLeastRenewals)
        return refuse(
            fmt::format("has {} readings of engine speed under full load with the boost built up, {} are "
                        "needed",
                        speed.times.size(), kLeastRenewals));
    if (rate < kLeastRenewalsHz)
        return refuse(fmt::format("has an engine speed that is renewed {:.1f} times a second, {:.1f} are needed", rate,
                                  kLeastRenewalsHz));
    if (const auto slip = input_slip(view, speed); slip && std::abs(*slip) > kInputSlip)
        return refuse(fmt::format(
            "has an engine that turns {:.1f} % faster than the gearbox: clutch or converter slips", 100.0 * *slip));
    PullSpeeds found{.engine_rad_s = scaled(speed, kRadPerRpm), .speed_of = "engine_speed_rpm"};
    const auto [low, high] = std::ranges::minmax(speed.values);
    found.from_rpm = low, found.to_rpm = high;
    const Channel* satellite = on_road(*view.run) ? view.run->find(Signal::gnss_speed_km_h) : nullptr;
    if (satellite != nullptr) {
        const Samples road = renewed(*satellite, samples_within(view.run->log(), *satellite, from, to));
        if (road.times.size() >= kLeastRenewals) {
            found.satellite_m_per_s = scaled(road, 1.0 / kKmHPerMs);
            found.speed_of += " and gnss_speed_km_h";
        }
    }
    return found;
}

}  // namespace revwright
