#include <algorithm>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/window.h"

namespace revwright {
namespace {

/// Standard deviation of the control unit's own torque, percent: one maker's bus definition gives it within 10 % above
/// 50 Nm (second hand; no paper), taken as two deviations.
constexpr double kTorqueSdPct = 5.0;
constexpr double kHoldSeconds = 0.3;  // our choice, common practice, no source

/// The part that gives way first.
struct Weakest {
    double nm = 0.0;
    std::string part;
};

/// By gear where the job states one per gear. A gear that is not known is taken as the strongest: what is found then is
/// sure.
std::optional<Weakest> gearbox_of(const Car& car, std::optional<int> gear) {
    const std::vector<double>& by_gear = car.gearbox_torque_nm;
    if (by_gear.empty()) return std::nullopt;
    if (by_gear.size() == 1) return Weakest{by_gear.front(), "the gearbox"};
    if (gear && *gear >= 1 && *gear <= static_cast<int>(by_gear.size()))
        return Weakest{by_gear[static_cast<std::size_t>(*gear) - 1], fmt::format("the gearbox in gear {}", *gear)};
    return Weakest{*std::ranges::max_element(by_gear), "the gearbox in its strongest gear"};
}

std::optional<Weakest> weakest_of(const JobSheet& job, std::optional<int> gear) {
    std::optional<Weakest> weakest = gearbox_of(job.car, gear);
    const auto consider = [&](std::optional<double> nm, std::string_view part) {
        if (nm && (!weakest || *nm < weakest->nm)) weakest = Weakest{*nm, std::string(part)};
    };
    consider(job.car.clutch_torque_nm, "the clutch");
    consider(job.engine.torque_max_nm, "the engine");
    return weakest;
}

}  // namespace

std::optional<Obstacle> torque_capacity_obstacle(const RunView& run) {
    if (weakest_of(*run.job, std::nullopt)) return std::nullopt;
    return Obstacle{{},
                    "the job sheet states no torque capacity: car.gearbox_torque_nm, car.clutch_torque_nm or "
                    "engine.torque_max_nm"};
}

std::optional<Finding> torque_capacity(const PullView& view, const Check&, const Limit& limit) {
    const auto weakest = weakest_of(view.job(), view.pull.gear);
    const Samples torque = view.samples(Signal::torque_nm);
    const auto held = highest_held(torque.series(), kHoldSeconds);
    if (!weakest || !held) return std::nullopt;
    const double sigma = view.job().policy.sigma;
    const double counted = held->level * (1.0 + 0.01 * sigma * kTorqueSdPct);
    const Verdict judged = verdict(100.0 * counted / weakest->nm, limit, Side::above);
    Finding found = finding(torque.times[held->worst], 100.0 * counted / weakest->nm, judged);
    found.modelled = true;
    const std::string load =
        fmt::format("the control unit's torque reaches {:.0f} Nm, {:.0f} Nm at {:g} sigma of {:g} %", held->level,
                    counted, sigma, kTorqueSdPct);
    if (judged.severity == Severity::clear) {
        found.text =
            fmt::format("{}, {:.0f} % of what {} carries ({:.0f} Nm)", load, found.value, weakest->part, weakest->nm);
        return found;
    }
    const double from = judged.limit * weakest->nm / (100.0 + sigma * kTorqueSdPct);
    found.time_s = torque.times[middle_of_worst(torque.series(), *held, from)];
    found.duration_s = time_above(torque.series(), held->worst, from);
    found.text =
        fmt::format("{}: {:.0f} % of the {:.0f} Nm that {} carries, for {:.1f} s, {:.0f} % is the limit; {}", load,
                    found.value, weakest->nm, weakest->part, found.duration_s, judged.limit,
                    judged.severity == Severity::watch ? "little reserve is left" : "less torque, or a stronger part");
    return found;
}

}  // namespace revwright
