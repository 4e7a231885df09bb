#include "wire/tables_json.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "wire/json.h"

namespace revwright::wire {
namespace {

/// Values nested as the axes are: a number, a list, a list of lists.
Json nested(const Table& table, std::span<const double> values) {
    if (table.axes.empty()) return number(values[0]);
    Json rows = Json::array();
    const std::size_t columns = table.axes.size() == 2 ? table.axes[1].size() : 1;
    for (std::size_t i = 0; i < table.axes[0].size(); ++i) {
        if (table.axes.size() == 1) {
            rows.push_back(number(values[i]));
            continue;
        }
        Json row = Json::array();
        for (std::size_t j = 0; j < columns; ++j) row.push_back(number(values[i * columns + j]));
        rows.push_back(std::move(row));
    }
    return rows;
}

Json table_json(const Table& table, const ImageEntry& entry) {
    const TableDescription& description = table.description;
    Json roles = Json::array();
    for (const Role role : roles_of(entry, table.name())) roles.push_back(to_string(role));
    const bool is_float = description.coding.type == RawType::f32;
    return {{"name", table.name()},
            {"roles", std::move(roles)},
            {"quantity", to_string(description.quantity)},
            {"unit", info(description.quantity.signal).unit},
            {"writable", description.writable},
            {"why_not", description.writable ? Json(nullptr) : Json(description.why_not)},
            {"axes", axes_json(table.axes)},
            {"values", nested(table, table.values)},
            {"raw", nested(table, table.raw)},
            {"min", number(description.min)},
            {"max", number(description.max)},
            {"resolution", is_float ? Json(nullptr) : number(std::abs(description.coding.factor))}};
}

}  // namespace

std::vector<Role> roles_of(const ImageEntry& entry, const std::string& table) {
    std::vector<Role> roles;
    for (const auto& [role, tables] : entry.roles)
        if (std::ranges::any_of(tables, [&](const RoleTable& tied) { return tied.table == table; }))
            roles.push_back(role);
    return roles;
}

std::string tables_json(const TableSet& tables, const ImageEntry& entry, const std::string& only) {
    Json list = Json::array();
    for (const Table& table : tables.tables)
        if (only.empty() || table.name() == only) list.push_back(table_json(table, entry));
    return print(
        {{"schema", "revwright.tables-read/1"}, {"image_sha256", to_hex(tables.image)}, {"tables", std::move(list)}});
}

}  // namespace revwright::wire
