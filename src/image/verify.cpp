#include "image/verify.h"

#include <fmt/format.h>
#include <vector>

#include "image/checksum.h"
#include "image/layout.h"
#include "image/read.h"

namespace revwright {
namespace {

tl::unexpected<Error> fault(const std::string& what) {
    return fail(Fault::program, "fault of the program, nothing was built: " + what);
}

Result<void> only_these_bytes(const Image& parent, const Image& child, std::span<const ByteRange> allowed) {
    if (parent.bytes.size() != child.bytes.size() || parent.segments != child.segments)
        return fault("the image changed its size");
    std::vector<bool> free(parent.bytes.size(), false);
    for (const ByteRange& range : allowed)
        for (std::uint64_t i = 0; i < range.length; ++i)
            free[*parent.offset_of(range.address, range.length) + static_cast<std::size_t>(i)] = true;
    for (std::size_t i = 0; i < parent.bytes.size(); ++i)
        if (!free[i] && parent.bytes[i] != child.bytes[i])
            return fault(fmt::format("the byte at {} moved, outside every approved cell and checksum",
                                     address_text(parent.address_of(i))));
    return {};
}

Result<void> only_these_cells(const TableSet& before, const TableSet& after, std::span<const ChangedCell> changes) {
    std::vector<std::vector<double>> expected;
    for (const Table& table : before.tables) expected.push_back(table.raw);
    for (const ChangedCell& change : changes)
        for (std::size_t t = 0; t < before.tables.size(); ++t)
            if (before.tables[t].name() == change.table) expected[t][before.tables[t].flat(change.at)] = change.raw_to;
    for (std::size_t t = 0; t < after.tables.size(); ++t) {
        const Table& table = after.tables[t];
        if (table.axes != before.tables[t].axes) return fault(fmt::format("an axis of table {} moved", table.name()));
        for (std::size_t flat = 0; flat < table.raw.size(); ++flat)
            if (table.raw[flat] != expected[t][flat])
                return fault(fmt::format("{} reads as count {:.10g}, {:.10g} expected",
                                         cell_name(table.name(), table.at(flat)), table.raw[flat], expected[t][flat]));
    }
    return {};
}

}  // namespace

Result<void> verify_build(const Image& parent, const TableSet& before, const Image& child,
                          std::span<const ChangedCell> changes, const Description& description,
                          std::span<const ChecksumRegion> regions) {
    std::vector<ByteRange> allowed;
    for (const ChangedCell& change : changes)
        allowed.push_back({change.address, size_of(description.find(change.table)->coding.type)});
    if (!changes.empty())
        for (const ChecksumRegion& region : regions) allowed.push_back(store_range(region));
    if (const auto same = only_these_bytes(parent, child, allowed); !same) return same;

    const auto after = read_tables(description, child);
    if (!after) return fault(after.error().what);
    if (const auto same = only_these_cells(before, *after, changes); !same) return same;

    const auto states = check_all(regions, child);
    if (!states) return fault(states.error().what);
    for (const ChecksumState& state : *states)
        if (!state.ok()) return fault(fmt::format("the checksum at {} does not match", address_text(state.store)));
    return {};
}

}  // namespace revwright
