#include "rig/table_reader.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

#include "numeric/bracket.h"

namespace revwright::rig {
namespace {

double Operating::* input_for(Signal signal) {
    switch (signal) {
        case Signal::engine_speed_rpm:
            return &Operating::engine_speed_rpm;
        case Signal::charge_pct:
            return &Operating::charge_pct;
        case Signal::air_mass_flow_g_s:
            return &Operating::air_mass_flow_g_s;
        case Signal::air_per_stroke_mg:
            return &Operating::air_per_stroke_mg;
        case Signal::manifold_pressure_kpa:
            return &Operating::manifold_pressure_kpa;
        case Signal::boost_pressure_kpa:
            return &Operating::boost_pressure_kpa;
        case Signal::boost_target_kpa:
            return &Operating::boost_target_kpa;
        case Signal::ambient_pressure_kpa:
            return &Operating::ambient_pressure_kpa;
        case Signal::ambient_temp_c:
            return &Operating::ambient_temp_c;
        case Signal::intake_temp_c:
            return &Operating::intake_temp_c;
        case Signal::coolant_temp_c:
            return &Operating::coolant_temp_c;
        case Signal::oil_temp_c:
            return &Operating::oil_temp_c;
        case Signal::pedal_pct:
            return &Operating::pedal_pct;
        case Signal::throttle_pct:
            return &Operating::throttle_pct;
        case Signal::torque_nm:
            return &Operating::torque_nm;
        case Signal::torque_request_nm:
            return &Operating::torque_request_nm;
        case Signal::vehicle_speed_km_h:
            return &Operating::vehicle_speed_km_h;
        case Signal::gear:
            return &Operating::gear;
        default:
            return nullptr;
    }
}

constexpr std::size_t kMostAxes = 4;

}  // namespace

Result<TableReader> TableReader::make(const Table& table) {
    TableReader reader{table};
    if (table.axes.size() > kMostAxes)
        return refuse(fmt::format("table {} has {} axes, the simulated car reads {} at most", table.name(),
                                  table.axes.size(), kMostAxes));
    for (const Axis& axis : table.axes) {
        const auto input = input_for(axis.quantity().signal);
        if (input == nullptr)
            return refuse(fmt::format("table {} is read over {}, which the simulated car does not have", table.name(),
                                      to_string(axis.quantity())));
        reader.inputs_.push_back(input);
    }
    return reader;
}

double TableReader::read(const Operating& at) const {
    const std::size_t axes = inputs_.size();
    std::array<Bracket, kMostAxes> places;
    for (std::size_t i = 0; i < axes; ++i) places[i] = bracket(table_->axes[i].points(), at.*inputs_[i]);
    double sum = 0.0;
    for (std::size_t corner = 0; corner < (std::size_t{1} << axes); ++corner) {
        double weight = 1.0;
        std::size_t flat = 0;
        for (std::size_t i = 0; i < axes; ++i) {
            const bool upper = ((corner >> i) & 1U) != 0;
            weight *= upper ? places[i].part : 1.0 - places[i].part;
            const std::size_t last = table_->axes[i].size() - 1;
            flat = flat * table_->axes[i].size() + std::min(places[i].index + (upper ? 1U : 0U), last);
        }
        if (weight > 0.0) sum += weight * table_->values[flat];
    }
    return sum;
}

bool TableReader::reads(Signal signal) const {
    return std::ranges::any_of(table_->axes, [&](const Axis& axis) { return axis.quantity().signal == signal; });
}

Result<std::optional<TableReader>> reader_for(Role role, const JobSheet& job, const TableSet& tables) {
    if (!job.image) return std::optional<TableReader>{};
    const auto found = job.image->roles.find(role);
    if (found == job.image->roles.end() || found->second.empty()) return std::optional<TableReader>{};
    const auto always = std::ranges::find_if(found->second, [](const RoleTable& t) { return t.when.empty(); });
    const RoleTable& chosen = always == found->second.end() ? found->second.front() : *always;
    const Table* table = tables.find(chosen.table);
    if (table == nullptr)
        return refuse(
            fmt::format("role {} names table {}, which the image does not hold", to_string(role), chosen.table),
            chosen.where);
    auto reader = TableReader::make(*table);
    if (!reader) return tl::unexpected(reader.error());
    return std::optional<TableReader>{*reader};
}

}  // namespace revwright::rig
