#include "propose/situation.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "propose/reach.h"
#include "review/derived.h"

namespace revwright {
namespace {

/// Least change worth making where the image holds floating point. Our choice.
double working_count(const Table& table, Role role) {
    if (table.description.coding.type != RawType::f32) return std::abs(table.description.coding.factor);
    return role == Role::spark ? 0.05 : role == Role::lambda_target ? 0.001 : 0.1;
}

const Table* same_shape(const TableSet& tables, const Table& like) {
    const Table* found = tables.find(like.name());
    return found && found->values.size() == like.values.size() ? found : nullptr;
}

const TableEvidence* evidence_for(const ProposeInput& input, const Table& table) {
    const auto found = std::ranges::find(input.evidence, table.name(), &TableEvidence::table);
    return found == input.evidence.end() ? nullptr : &*found;
}

std::optional<std::size_t> speed_axis_of(const Table& table) {
    for (std::size_t d = 0; d < table.axes.size(); ++d)
        if (table.axes[d].quantity().signal == Signal::engine_speed_rpm) return d;
    return std::nullopt;
}

TableSituation table_situation(const ProposeInput& input, const RoleTableRef& ref) {
    const Table& table = *ref.table;
    TableSituation out{ref, working_count(table, ref.role), speed_axis_of(table)};
    const std::string_view unit = info(table.description.quantity.signal).unit;
    out.unit = unit;
    const Table* standard = same_shape(input.standard, table);
    const TableEvidence* evidence = evidence_for(input, table);
    const Reach reach = full_load_reach(input, table);
    for (std::size_t flat = 0; flat < table.values.size(); ++flat) {
        CellSituation cell{
            .flat = flat, .now = table.values[flat], .reach = reach.any[flat], .loaded = reach.loaded[flat]};
        if (standard) cell.standard = standard->values[flat];
        cell.seen = evidence ? evidence->find(flat) : nullptr;
        cell.visited = cell.seen && cell.seen->events > 0.0;
        if (out.speed_axis) cell.speed_rpm = table.axes[*out.speed_axis].points()[table.at(flat)[*out.speed_axis]];
        out.cells.push_back(cell);
    }
    return out;
}

const Finding* first_stop(const ProposeInput& input) {
    for (const Finding& f : input.review.findings)
        if (f.severity == Severity::stop && of_parent(input, f)) return &f;
    return nullptr;
}

bool is_parent(const ProposeInput& input, std::size_t log) {
    return log < input.log_is_parent.size() && input.log_is_parent[log];
}

/// The values of a channel in a pull, highest first.
std::vector<double> highest_in(const ProposeInput& input, const Pull& pull, const Channel& channel) {
    const Series part = slice(input.logs[pull.log].log->series(channel), pull.start_s, pull.end_s);
    std::vector<double> values;
    for (const double v : part.values)
        if (std::isfinite(v)) values.push_back(v);
    std::ranges::sort(values, std::greater{});
    return values;
}

std::optional<double> hottest_exhaust(const ProposeInput& input) {
    std::optional<double> hottest;
    for (const Pull& pull : input.review.pulls) {
        if (pull.log >= input.logs.size() || !is_parent(input, pull.log)) continue;
        const Channel* channel = input.logs[pull.log].log->find(Signal::exhaust_temp_c);
        if (!channel || !channel->before_turbine) return std::nullopt;
        const auto values = highest_in(input, pull, *channel);
        if (values.empty()) return std::nullopt;
        hottest = std::max(hottest.value_or(values.front()), values.front());
    }
    return hottest;
}

/// The third highest sample stands for the peak of a pull: two wild samples do not meet a goal.
std::optional<double> least_dyno_peak(const ProposeInput& input) {
    constexpr std::size_t kWildSamples = 2;
    std::optional<double> least;
    for (const Pull& pull : input.review.pulls) {
        if (pull.log >= input.logs.size() || !is_parent(input, pull.log)) continue;
        const Channel* channel = input.logs[pull.log].log->find(Signal::dyno_torque_nm);
        if (!channel) continue;
        const auto values = highest_in(input, pull, *channel);
        if (values.size() > kWildSamples) least = std::min(least.value_or(values[kWildSamples]), values[kWildSamples]);
    }
    return least;
}

}  // namespace

std::string TableSituation::amount(double value) const {
    // Rounded for reading only; -0 would read oddly.
    const double shown = std::round(value * 1e4) / 1e4 + 0.0;
    return unit == "1" ? fmt::format("{:g}", shown) : fmt::format("{:g} {}", shown, unit);
}

std::optional<std::size_t> log_of(const ProposeInput& input, const Finding& finding) {
    if (finding.log) return finding.log;
    if (finding.pull && *finding.pull < input.review.pulls.size()) return input.review.pulls[*finding.pull].log;
    return std::nullopt;
}

bool of_parent(const ProposeInput& input, const Finding& finding) {
    const auto log = log_of(input, finding);
    return !log || is_parent(input, *log);
}

Situation situation_of(const ProposeInput& input) {
    Situation s{input, {}};
    for (const RoleTableRef& ref : role_tables(input.job, input.parent))
        if (ref.table->description.writable) s.tables.push_back(table_situation(input, ref));
    s.stop = first_stop(input);
    s.exhaust_temp_c = hottest_exhaust(input);
    s.dyno_torque_nm = least_dyno_peak(input);
    return s;
}

std::vector<ProposalRefusal> refused_tables(const ProposeInput& input) {
    std::vector<ProposalRefusal> refused;
    for (const Role role : kEvidenceRoles) {
        const auto entry = input.job.image->roles.find(role);
        if (entry == input.job.image->roles.end()) continue;
        for (const RoleTable& row : entry->second) {
            const Table* table = input.parent.find(row.table);
            if (!table)
                refused.push_back({std::string(to_string(role)), fmt::format("the image has no table {}", row.table)});
            else if (!table->description.writable)
                refused.push_back({std::string(to_string(role)), fmt::format("table {} cannot be written: {}",
                                                                             row.table, table->description.why_not)});
        }
    }
    return refused;
}

}  // namespace revwright
