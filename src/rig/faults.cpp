#include "rig/faults.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <limits>

namespace revwright::rig {
namespace {

constexpr std::uint64_t kFaultStream = 4;

/// Over which engine speeds a fault acts: in full within `flat_rpm` of its place, fading over `edge_rpm` beyond.
struct Window {
    std::string_view fault;
    double flat_rpm, edge_rpm;
    bool level;  // what is checked follows at once, so that it stands level where the fault acts in full
};
constexpr Window kWindows[] = {
    {"lean-at-full-load", 350.0, 200.0, true},
    {"lambda-off-target", 700.0, 250.0, true},
    {"low-boost", 600.0, 250.0, true},
    {"high-boost", 600.0, 250.0, true},
    {"throttle-closes", 350.0, 1.0, true},
    {"fuel-pressure-drop", 500.0, 250.0, true},
    {"hot-intake", 900.0, 500.0, false},
    {"hot-exhaust", 1200.0, 600.0, false},
    {"boost-oscillation", 1000.0, 100.0, true},
    {"weak-turbo", 700.0, 250.0, true},
    {"misfire", 500.0, 100.0, true},
};

const Window* window_of(std::string_view fault) {
    const auto found = std::ranges::find(kWindows, fault, &Window::fault);
    return found == std::end(kWindows) ? nullptr : found;
}

/// 0..1: how much of the fault acts at this engine speed.
double share(const Fault& fault, double rpm) {
    const Window* window = window_of(fault.name);
    if (window == nullptr) return 0.0;
    return std::clamp(1.0 - (std::abs(rpm - fault.at_rpm) - window->flat_rpm) / window->edge_rpm, 0.0, 1.0);
}

bool is_knock(std::string_view name) { return name == "single-knock" || name == "knock-hot-spot"; }

/// Faults of the whole run: where in a pull they are worst is chance.
bool of_whole_run(std::string_view name) { return name == "hot-coolant" || name == "hot-oil" || name == "cold-oil"; }

bool has_place(std::string_view name) {
    return window_of(name) != nullptr || is_knock(name) || name == "one-cylinder-knocks" || name == "log-gap" ||
           name == "sensor-dropout";
}

double pick_place(std::string_view name, Random& random, const std::vector<double>& spark_speeds) {
    const double wanted = 100.0 * std::round(random.uniform(33.0, 52.0));
    if (!is_knock(name) || spark_speeds.empty()) return wanted;
    return *std::ranges::min_element(spark_speeds, {}, [&](double rpm) { return std::abs(rpm - wanted); });
}

using Measure = std::function<double(const Moment&)>;

/// What the checked quantity is, larger = worse; nothing for faults that are not places in a pull.
Measure measure_of(std::string_view name, int cylinder) {
    const auto suffered = static_cast<std::size_t>(cylinder);
    if (name == "lean-at-full-load") return [](const Moment& m) { return m.lambda; };
    if (name == "lambda-off-target") return [](const Moment& m) { return std::abs(m.lambda - m.lambda_target); };
    if (is_knock(name) || name == "one-cylinder-knocks")
        return [suffered](const Moment& m) { return m.retard_deg[suffered]; };
    if (name == "low-boost") return [](const Moment& m) { return m.boost_target_kpa - m.boost_kpa; };
    if (name == "high-boost" || name == "boost-overshoot")
        return [](const Moment& m) { return m.boost_kpa - m.boost_target_kpa; };
    if (name == "throttle-closes") return [](const Moment& m) { return 100.0 - m.throttle_pct; };
    if (name == "fuel-pressure-drop")
        return [](const Moment& m) {
            return 100.0 * (1.0 - m.low_pressure_kpa * m.rail_mpa / (500.0 * m.rail_target_mpa));
        };
    if (name == "hot-intake") return [](const Moment& m) { return m.charge_temp_seen_c; };
    if (name == "hot-exhaust") return [](const Moment& m) { return m.exhaust_seen_c; };
    if (name == "hot-coolant") return [](const Moment& m) { return m.coolant_c; };
    if (name == "hot-oil") return [](const Moment& m) { return m.oil_c; };
    if (name == "cold-oil") return [](const Moment& m) { return -m.oil_c; };
    if (name == "boost-oscillation") return [](const Moment& m) { return std::abs(m.boost_kpa - m.boost_target_kpa); };
    if (name == "weak-turbo") return [](const Moment& m) { return m.wastegate_pct; };
    if (name == "misfire") return [](const Moment& m) { return m.misfires; };
    return {};
}

bool of_recording(std::string_view name) {
    static constexpr std::string_view kNames[] = {"stuck-channel", "log-gap", "sensor-dropout", "spikes",
                                                  "clock-runs-back"};
    return std::ranges::find(kNames, name) != std::end(kNames);
}

/// Only the surroundings of the place count: knock elsewhere is another matter.
double reach_rpm(std::string_view name) { return is_knock(name) ? 300.0 : std::numeric_limits<double>::infinity(); }

void find_worst(TruthFault& fault, double place, const Measure& measure, const std::vector<Moment>& moments,
                double from_s, double to_s) {
    const double reach = place > 0.0 ? reach_rpm(fault.name) : std::numeric_limits<double>::infinity();
    double worst = -std::numeric_limits<double>::infinity();
    for (const Moment& m : moments) {
        if (m.time_s < from_s || m.time_s > to_s || std::abs(m.rpm - place) > reach) continue;
        if (measure(m) <= worst) continue;
        worst = measure(m);
        fault.engine_speed_rpm = m.rpm;
        fault.time_s = m.time_s;
        fault.value = fault.name == "cold-oil" ? -worst : worst;
    }
}

/// A fault that stands level has no single worst moment: its place is the middle of where it acts in full, in the pull
/// that shows it longest. Build-up of boost before or after a shift is then not taken for the fault.
void find_middle(TruthFault& fault, double place, double flat_rpm, const Measure& measure,
                 const std::vector<Moment>& moments, const std::vector<TruthPull>& pulls) {
    std::vector<const Moment*> longest;
    for (const TruthPull& pull : pulls) {
        std::vector<const Moment*> here;
        for (const Moment& m : moments)
            if (m.time_s >= pull.start_s && m.time_s <= pull.end_s && std::abs(m.rpm - place) <= flat_rpm)
                here.push_back(&m);
        if (here.size() > longest.size()) longest = std::move(here);
    }
    if (longest.empty()) return;
    const Moment& middle = *longest[longest.size() / 2];
    fault.engine_speed_rpm = middle.rpm;
    fault.time_s = middle.time_s;
    fault.value = fault.name == "throttle-closes" ? 100.0 - measure(middle) : measure(middle);
}

}  // namespace

Result<PlantedFaults> PlantedFaults::make(const std::vector<Fault>& faults, int pulls, int cylinders,
                                          std::uint64_t seed, std::vector<double> spark_speeds) {
    Random random{seed, kFaultStream};
    PlantedFaults planted;
    planted.cylinder_ = random.below(cylinders);
    planted.pulls_ = pulls;
    planted.chosen_pull_ = random.below(pulls);
    planted.stuck_channel_ = random.below(3);
    std::erase_if(spark_speeds, [](double rpm) { return rpm < 3000.0 || rpm > 5500.0; });
    for (const Fault& fault : faults) {
        if (fault_named(fault.name) == nullptr)
            return refuse(fmt::format("the rig knows no fault named {}", fault.name));
        Fault placed = fault;
        const double chosen = pick_place(fault.name, random, spark_speeds);
        if (!has_place(fault.name))
            placed.at_rpm = 0.0;
        else if (placed.at_rpm <= 0.0)
            placed.at_rpm = chosen;
        planted.faults_.push_back(placed);
    }
    planted.swing_phase_ = random.uniform();
    return planted;
}

bool PlantedFaults::has(std::string_view name) const {
    return std::ranges::find(faults_, name, &Fault::name) != faults_.end();
}

double PlantedFaults::place(std::string_view name) const {
    const auto found = std::ranges::find(faults_, name, &Fault::name);
    return found == faults_.end() ? 0.0 : found->at_rpm;
}

FaultEffects PlantedFaults::effects(double rpm, int pull) {
    FaultEffects e;
    if (pull < 0) return e;
    for (const Fault& fault : faults_) {
        const std::string& name = fault.name;
        const double at = fault.at_rpm;
        const double acts = share(fault, rpm);
        if (name == "lean-at-full-load") e.lambda_share = acts;
        if (name == "lambda-off-target") e.lambda_offset = -0.06 * acts;
        if (name == "low-boost") e.boost_low_share = acts;
        if (name == "high-boost") e.boost_high_share = acts;
        if (name == "throttle-closes" && acts > 0.0) e.throttle_cap_pct = 62.0;
        if (name == "fuel-pressure-drop") e.fuel_pressure_factor = 1.0 - 0.17 * acts;
        if (name == "boost-oscillation") e.boost_swing_kpa = 36.0 * acts;
        if (name == "weak-turbo") e.boost_low_share = acts, e.boost_given_out = acts > 0.5;
        if (name == "misfire") e.misfire_share = 0.12 * acts;
        if (name == "hot-intake") e.intake_share = acts;
        if (name == "hot-exhaust") e.exhaust_share = acts;
        if (name == "one-cylinder-knocks") {
            const double near = std::clamp(1.0 - (std::abs(rpm - at) - 300.0) / 800.0, 0.0, 1.0);
            e.weak_cylinder_deg = rpm < 2400.0 ? -1.0 : 3.0 + 2.0 * near;
        }
        const bool due = name == "knock-hot-spot" || (name == "single-knock" && pull == chosen_pull_);
        if (due && rpm >= at && rpm < at + 200.0 && knocked_in_pull_ != pull) {
            e.force_knock = true;
            knocked_in_pull_ = pull;
        }
    }
    return e;
}

const TruthPull* spoiled_pull(const PlantedFaults& faults, const std::vector<TruthPull>& pulls) {
    if (pulls.empty()) return nullptr;
    return &pulls[static_cast<std::size_t>(faults.chosen_pull()) % pulls.size()];
}

std::vector<TruthFault> fault_places(const PlantedFaults& faults, const std::vector<Moment>& moments,
                                     const std::vector<TruthPull>& pulls) {
    std::vector<TruthFault> found;
    for (const Fault& fault : faults.list()) {
        const FaultInfo& about = *fault_named(fault.name);
        TruthFault truth{
            .name = fault.name, .checks = {about.checks.begin(), about.checks.end()}, .at_least = about.at_least};
        const Measure measure = measure_of(fault.name, faults.cylinder());
        if (measure && fault.name == "cold-oil" && !moments.empty()) {
            // The worst moment of a pull that is no pull: the first full pedal.
            const auto first = std::ranges::find_if(moments, [](const Moment& m) { return m.pedal_pct >= 95.0; });
            if (first != moments.end()) find_worst(truth, 0.0, measure, moments, first->time_s, first->time_s);
        } else if (const Window* window = window_of(fault.name); window != nullptr && window->level) {
            find_middle(truth, fault.at_rpm, window->flat_rpm, measure, moments, pulls);
        } else if (measure) {
            double worst = -std::numeric_limits<double>::infinity();
            for (const TruthPull& pull : pulls) {
                TruthFault here = truth;
                find_worst(here, fault.at_rpm, measure, moments, pull.start_s, pull.end_s);
                if (!here.engine_speed_rpm || here.value <= worst) continue;
                worst = here.value;
                truth = here;
            }
        } else if (const TruthPull* pull = spoiled_pull(faults, pulls); pull && of_recording(fault.name)) {
            truth.time_s = 0.5 * (pull->start_s + pull->end_s);
        }
        if (of_whole_run(fault.name)) truth.engine_speed_rpm.reset();
        found.push_back(std::move(truth));
    }
    return found;
}

}  // namespace revwright::rig
