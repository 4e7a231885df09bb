#include "image/check_entry.h"

#include <algorithm>
#include <fmt/format.h>
#include <variant>

#include "image/checksum.h"
#include "image/layout.h"
#include "model/coding.h"

namespace revwright {
namespace {

/// The quantities a table of a proposed role may hold; none for the roles whose tables come in many kinds.
std::vector<Signal> quantities_of(Role role) {
    switch (role) {
        case Role::spark:
            return {Signal::spark_deg, Signal::spark_base_deg};
        case Role::lambda_target:
            return {Signal::lambda_target, Signal::lambda};
        case Role::boost_target:
            return {Signal::boost_target_kpa, Signal::boost_pressure_kpa, Signal::manifold_pressure_kpa};
        default:
            return {};
    }
}

Result<void> check_role(Role role, const RoleTable& tied, const Description& description) {
    const TableDescription* table = description.find(tied.table);
    if (table == nullptr)
        return refuse(fmt::format("role {} names table {}, which {} does not describe", to_string(role), tied.table,
                                  description.file),
                      tied.where);
    const std::vector<Signal> wanted = quantities_of(role);
    if (wanted.empty() || std::ranges::count(wanted, table->quantity.signal)) return {};
    return refuse(fmt::format("role {} needs a table of {}, found {}, which holds {}", to_string(role),
                              info(wanted.front()).name, tied.table, to_string(table->quantity)),
                  tied.where);
}

Result<void> apart(const ChecksumRegion& region, ByteRange other, const std::string& whose) {
    if (!overlap(store_range(region), other)) return {};
    return refuse(fmt::format("the checksum stored at {} lies inside {}, {}: it would overwrite what is calibrated",
                              address_text(region.store), whose, addresses(other)),
                  region.where);
}

Result<void> check_store(const ChecksumRegion& region, const Description& description) {
    for (const TableDescription& table : description.tables) {
        ByteRange cells{table.address, size_of(table.coding.type)};
        for (const std::size_t n : table.shape) cells.length *= n;
        if (auto clear = apart(region, cells, "table " + table.name); !clear) return clear;
        for (const AxisDescription& axis : table.axes) {
            const auto* memory = std::get_if<AxisInMemory>(&axis.source);
            if (memory == nullptr) continue;
            const ByteRange points{memory->address, axis.size * size_of(memory->coding.type)};
            if (auto clear = apart(region, points, "an axis of table " + table.name); !clear) return clear;
        }
    }
    return {};
}

}  // namespace

Result<void> check_entry(const ImageEntry& entry, const Description& description) {
    for (const auto& [role, tables] : entry.roles)
        for (const RoleTable& tied : tables)
            if (auto fits = check_role(role, tied, description); !fits) return fits;
    for (const ChecksumRegion& region : entry.checksums)
        if (auto clear = check_store(region, description); !clear) return clear;
    return {};
}

}  // namespace revwright
