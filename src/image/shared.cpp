#include "image/shared.h"

#include <algorithm>
#include <fmt/format.h>

#include "image/checksum.h"
#include "image/layout.h"

namespace revwright {
namespace {

struct Moved {
    ByteRange range;
    const ChangedCell* cell;
};

std::vector<Moved> by_address(std::span<const ChangedCell> cells, const Description& description) {
    std::vector<Moved> moved;
    for (const ChangedCell& cell : cells)
        moved.push_back({{cell.address, size_of(description.find(cell.table)->coding.type)}, &cell});
    std::ranges::sort(moved, {}, [](const Moved& m) { return m.range.address; });
    return moved;
}

/// The moved cells that share bytes with the range. They do not overlap one another, so they are neighbours.
std::span<const Moved> touching(std::span<const Moved> moved, ByteRange range) {
    auto first = std::ranges::lower_bound(moved, range.address, {}, [](const Moved& m) { return m.range.address; });
    if (first != moved.begin() && overlap(std::prev(first)->range, range)) --first;
    auto last = first;
    while (last != moved.end() && overlap(last->range, range)) ++last;
    return {first, last};
}

Result<void> apart(std::span<const Moved> moved) {
    for (std::size_t i = 1; i < moved.size(); ++i)
        if (overlap(moved[i - 1].range, moved[i].range))
            return refuse(fmt::format("{} shares bytes with {}: both are to change",
                                      cell_name(moved[i - 1].cell->table, moved[i - 1].cell->at),
                                      cell_name(moved[i].cell->table, moved[i].cell->at)));
    return {};
}

Result<void> clear_of(std::span<const Moved> moved, ByteRange range, const std::string& other, const Place& place) {
    const auto hit = touching(moved, range);
    if (hit.empty()) return {};
    return refuse(fmt::format("{} shares bytes with {}: changing one would change the other",
                              cell_name(hit.front().cell->table, hit.front().cell->at), other),
                  place);
}

Result<void> clear_of_cells(std::span<const Moved> moved, const TableDescription& table) {
    // Most tables hold no moved byte at all.
    const ByteRange whole{table.address, table.cells() * size_of(table.coding.type)};
    if (touching(moved, whole).empty()) return {};
    for (std::size_t flat = 0; flat < table.cells(); ++flat)
        for (const Moved& m : touching(moved, cell_range(table, flat))) {
            const CellIndex at = index_of(table.shape, flat);
            if (m.cell->table == table.name && m.cell->at == at) continue;
            return refuse(fmt::format("{} shares bytes with {}: changing one would change the other",
                                      cell_name(m.cell->table, m.cell->at), cell_name(table.name, at)),
                          table.place);
        }
    return {};
}

Result<void> clear_of_axes(std::span<const Moved> moved, const TableDescription& table) {
    for (std::size_t d = 0; d < table.axes.size(); ++d) {
        const auto* memory = std::get_if<AxisInMemory>(&table.axes[d].source);
        if (memory == nullptr) continue;
        const ByteRange points{memory->address, table.axes[d].size * size_of(memory->coding.type)};
        if (const auto clear =
                clear_of(moved, points, fmt::format("axis {} of table {}", d, table.name), table.axes[d].place);
            !clear)
            return clear;
    }
    return {};
}

/// A parameter's own bytes may move with it; those of any other may not.
Result<void> clear_of_others(std::span<const Moved> moved, std::span<const NamedBytes> others) {
    for (const NamedBytes& other : others)
        for (const Moved& m : touching(moved, other.range)) {
            if (m.cell->table == other.name) continue;
            return refuse(fmt::format("{} shares bytes with parameter {}: changing one would change the other",
                                      cell_name(m.cell->table, m.cell->at), other.name));
        }
    return {};
}

}  // namespace

Result<void> moves_only_itself(std::span<const ChangedCell> cells, const Description& description,
                               std::span<const ChecksumRegion> regions, std::span<const NamedBytes> others) {
    const std::vector<Moved> moved = by_address(cells, description);
    if (const auto sound = apart(moved); !sound) return sound;
    for (const TableDescription& table : description.tables) {
        if (const auto clear = clear_of_cells(moved, table); !clear) return clear;
        if (const auto clear = clear_of_axes(moved, table); !clear) return clear;
    }
    for (const ChecksumRegion& region : regions)
        if (const auto clear =
                clear_of(moved, store_range(region),
                         fmt::format("the checksum stored at {}", address_text(region.store)), region.where);
            !clear)
            return clear;
    return clear_of_others(moved, others);
}

}  // namespace revwright
