#include <fmt/format.h>

#include "review/checks.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kHoldSeconds = 0.3;
/// Crank degrees a direct injector has at full load: from 300 to 60 degrees before firing top dead centre, the intake
/// stroke and the first part of compression. Engine specific; a job with another window overrides the limit.
constexpr double kWindowCrankDeg = 240.0;
constexpr double kPortCrankDeg = 720.0;  // a port injector may spray through the whole cycle
constexpr double kReachSeconds = 1.0;

/// Percent of the crank angle at hand that the injector is open: 6 n t of it per millisecond / 1000.
Samples share_of(const PullView& view, double crank_deg) {
    Samples open = view.samples(Signal::injector_time_ms);
    const Channel* speed = view.run->find(Signal::engine_speed_rpm);
    if (!speed) return {};
    const std::vector<double> rpm = values_along(view.run->log().series(*speed), open.times, kReachSeconds);
    const std::vector<double> calm = median_of_three(open.values);
    Samples share;
    for (std::size_t i = 0; i < calm.size(); ++i) {
        if (!(rpm[i] > 0.0)) continue;
        share.times.push_back(open.times[i]);
        share.values.push_back(100.0 * calm[i] * 1e-3 * 6.0 * rpm[i] / crank_deg);
    }
    return share;
}

}  // namespace

std::optional<Finding> injector_time(const PullView& view, const Check&, const Limit&) {
    const bool direct = view.job().engine.injection == Injection::direct;
    const Limit& limit = view.job().limits.at(direct ? "injection_window_pct" : "injector_duty_pct");
    const Samples share = share_of(view, direct ? kWindowCrankDeg : kPortCrankDeg);
    const auto held = highest_held(share.series(), kHoldSeconds);
    if (!held) return std::nullopt;
    const Verdict judged = verdict(held->level, limit, Side::above);
    Finding found = finding(share.times[held->worst], held->level, judged);
    found.unit = limit.unit;
    found.source = limit.source;
    const std::string of =
        direct ? fmt::format("the {:.0f} degrees there are to inject in", kWindowCrankDeg) : "the whole cycle";
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("the injectors are open for {:.0f} % of {} at most", held->level, of);
        return found;
    }
    found.duration_s = time_above(share.series(), held->worst, judged.limit);
    found.text = fmt::format(
        "the injectors are open for {:.0f} % of {} for {:.1f} s, {:.0f} % is the limit; larger injectors or more fuel "
        "pressure, else less boost",
        held->level, of, found.duration_s, judged.limit);
    return found;
}

}  // namespace revwright
