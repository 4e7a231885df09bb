#include "propose/forces.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "propose/reach.h"

namespace revwright {
namespace {

constexpr double kLeastRead = 0.1;  // part of a reading from which a cell belongs to the place of a finding
constexpr double kAroundS = 0.25;   // least half width of the place in time
constexpr double kHeatSoakS = 3.0;  // exhaust heat is made before the probe shows it; common practice, no source
constexpr double kKelvinPerLambda = 500.0;  // 5 K for each 0.01, METHODS 6.1 (computed; 3 to 6 K from memory)
constexpr double kRichestLambda = 0.75;     // METHODS 6.2
constexpr double kLambdaSafety = 1.25;      // of the excess over the floor. Our choice
constexpr double kLeastLambda = 0.01;
constexpr double kLeastSparkDeg = 1.0;
constexpr double kLeastBoostKpa = 1.0;

double threshold(const Situation& s, std::string_view limit, bool watch) {
    const Limit& row = s.input.job.limits.at(limit);
    return watch ? row.watch.value_or(row.mend.value_or(0.0)) : row.mend.value_or(row.watch.value_or(0.0));
}

bool is_knock(const Finding& f) { return f.check.starts_with("knock-"); }

/// Worst retard seen: the finding's own where it is in degrees.
double lower_spark_by(const Situation& s, const Finding& f) {
    const double retard = f.unit == "deg" ? f.value : 0.0;
    return std::max(kLeastSparkDeg, kLeastSparkDeg + retard - threshold(s, "knock", false));
}

double lower_lambda_by(const Situation& s, const Finding& f) {
    if (f.check == "lambda-lean") return std::max(kLeastLambda, kLambdaSafety * (f.value - s.lambda_floor()));
    if (f.check == "exhaust-temperature")
        return std::max(kLeastLambda, (f.value - threshold(s, "exhaust_temp_c", false)) / kKelvinPerLambda);
    return kLeastLambda;
}

double lower_boost_by(const Situation& s, const Finding& f, double now) {
    if (f.check == "boost-overshoot")
        return std::max(kLeastBoostKpa, std::abs(f.value) - threshold(s, "boost_overshoot_kpa", true));
    if (f.check == "boost-steady")
        return std::max(kLeastBoostKpa, std::abs(f.value) - threshold(s, "boost_steady_kpa", true));
    if (f.check == "fuel-pressure") {
        // Fuel flow follows charge, and charge follows absolute pressure.
        const double excess = (f.value - threshold(s, "fuel_pressure_drop_pct", false)) / 100.0;
        return std::max(s.policy().boost_step_kpa, now * excess);
    }
    return s.policy().boost_step_kpa;
}

double lower_by(const Situation& s, const Finding& f, Role role, double now) {
    if (role == Role::spark) return lower_spark_by(s, f);
    if (role == Role::boost_target) return lower_boost_by(s, f, now);
    return std::clamp(lower_lambda_by(s, f), 0.0, std::max(0.0, now - kRichestLambda));
}

/// Less spark cures knock; it heats the exhaust, so it is a lever of nothing else.
bool cures(const Finding& f, Role role) { return role != Role::spark || is_knock(f); }

std::optional<Role> lever_of(const Situation& s, const Finding& f) {
    for (const std::string& name : f.levers) {
        const auto role = role_named(name);
        if (!role || !cures(f, *role)) continue;
        if (std::ranges::any_of(s.tables, [&](const TableSituation& t) { return t.role() == *role; })) return role;
    }
    return std::nullopt;
}

std::map<std::size_t, double> place_of(const Situation& s, const Finding& f, const TableSituation& table) {
    const auto log = log_of(s.input, f);
    if (!log || !f.pull) return {};
    const double around = std::max(kAroundS, f.duration_s);
    const double before = f.check == "exhaust-temperature" ? kHeatSoakS : around;
    auto cells = cells_read(s.input, table.table(), *log, f.time_s - before, f.time_s + around, f.engine_speed_rpm);
    std::erase_if(cells, [](const auto& cell) { return cell.second < kLeastRead; });
    return cells;
}

void demand(std::map<std::size_t, Demand>& demands, std::size_t flat, double by, std::string text) {
    const auto [at, is_new] = demands.try_emplace(flat, Demand{by, text});
    if (!is_new && by > at->second.lower_by) at->second = {by, std::move(text)};
}

std::string where(const Finding& f) {
    return fmt::format("{} ({}) at {:.0f} rpm", f.check, to_string(f.severity), f.engine_speed_rpm);
}

ProposalRefusal refusal_of(const Finding& f) {
    const std::string levers = f.levers.empty() ? "none" : fmt::format("{}", fmt::join(f.levers, ", "));
    return {f.levers.empty() ? "hardware" : f.levers.front(),
            fmt::format("{}: no table of this job cures it (levers: {}); {}", f.check, levers, f.text)};
}

void refuse_once(std::vector<ProposalRefusal>& refused, ProposalRefusal refusal, const std::string& check) {
    const auto same = [&](const ProposalRefusal& other) {
        return other.role == refusal.role && other.reason.starts_with(check + ":");
    };
    if (std::ranges::none_of(refused, same)) refused.push_back(std::move(refusal));
}

void add_refusal(const Finding& f, const MeterCorrection& meter, Demands& demands) {
    if (blames_meter(f)) {
        if (meter.table) return;
        if (meter.refused) return refuse_once(demands.refused, *meter.refused, f.check);
    }
    refuse_once(demands.refused, refusal_of(f), f.check);
}

void add_finding(const Situation& s, const Finding& f, const MeterCorrection& meter, Demands& demands) {
    const auto lever = lever_of(s, f);
    bool moved = false;
    for (std::size_t t = 0; t < s.tables.size(); ++t) {
        const TableSituation& table = s.tables[t];
        for (const auto& [flat, part] : place_of(s, f, table)) {
            if (lever != table.role()) {
                demand(demands.of_table[t], flat, 0.0, fmt::format("{} is not cured here yet", where(f)));
                continue;
            }
            const double by = lower_by(s, f, *lever, table.cells[flat].now);
            demand(demands.of_table[t], flat, by, fmt::format("{} asks for {} less", where(f), table.amount(by)));
            moved = moved || by > 0.0;
        }
    }
    if (!moved) add_refusal(f, meter, demands);
}

}  // namespace

Demands demands_of(const Situation& situation, const MeterCorrection& meter) {
    Demands demands;
    demands.of_table.resize(situation.tables.size());
    for (const Finding& f : situation.input.review.findings)
        if ((f.severity == Severity::mend || f.severity == Severity::stop) && of_parent(situation.input, f))
            add_finding(situation, f, meter, demands);
    return demands;
}

}  // namespace revwright
