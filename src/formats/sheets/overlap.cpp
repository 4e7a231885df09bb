#include <algorithm>
#include <fmt/format.h>
#include <tuple>
#include <vector>

#include "formats/sheets/table_parts.h"
#include "formats/sheets/words.h"

namespace revwright::sheets {
namespace {

/// Bytes that belong to something: [begin, end).
struct Stretch {
    std::uint64_t begin, end;
    bool is_table;
    std::string name;
    At at;
};

At at_of(const Place& place) { return {place.line, place.column}; }

void add_axis(std::vector<Stretch>& out, const AxisDescription& axis, std::string name) {
    const auto* memory = std::get_if<AxisInMemory>(&axis.source);
    if (!memory) return;
    const std::uint64_t end = memory->address + axis.size * size_of(memory->coding.type);
    out.push_back({memory->address, end, false, std::move(name), at_of(axis.place)});
}

std::vector<Stretch> stretches(const Description& description, const SharedAxes& shared) {
    std::vector<Stretch> out;
    for (const auto& [name, axis] : shared) add_axis(out, axis, fmt::format("axis {}", quoted(name)));
    for (const TableDescription& table : description.tables) {
        const std::uint64_t end = table.address + table.cells() * size_of(table.coding.type);
        out.push_back({table.address, end, true, fmt::format("table {}", quoted(table.name)), at_of(table.place)});
        for (const AxisDescription& axis : table.axes)
            if (axis.shared.empty())
                add_axis(out, axis,
                         fmt::format("the {} axis of table {}", to_string(axis.quantity), quoted(table.name)));
    }
    std::ranges::sort(out, {}, [](const Stretch& s) { return std::tuple(s.begin, s.end, s.at); });
    return out;
}

void report(const Stretch& a, const Stretch& b, Trouble& trouble) {
    const auto& [first, second] = a.at < b.at ? std::tie(a, b) : std::tie(b, a);
    trouble.report(second.at, fmt::format("{} and {} must not share bytes, found both at {:#x}", first.name,
                                          second.name, std::max(first.begin, second.begin)));
}

}  // namespace

void check_overlaps(const Description& description, const SharedAxes& shared, Trouble& trouble) {
    // Axes may lie on one another: they are only read. So it is enough to remember who reaches furthest of each kind.
    const std::vector<Stretch> all = stretches(description, shared);
    const Stretch* table = nullptr;
    const Stretch* axis = nullptr;
    for (const Stretch& next : all) {
        if (table && table->end > next.begin) return report(*table, next, trouble);
        if (next.is_table && axis && axis->end > next.begin) return report(*axis, next, trouble);
        const Stretch*& furthest = next.is_table ? table : axis;
        if (!furthest || next.end > furthest->end) furthest = &next;
    }
}

}  // namespace revwright::sheets
