#include "image/compare.h"

#include <algorithm>
#include <fmt/format.h>
#include <vector>

#include "image/checksum.h"
#include "image/layout.h"
#include "image/read.h"

namespace revwright {
namespace {

/// Two images side by side, and which of their bytes something has spoken for.
struct Pair {
    const Image& a;
    const Image& b;
    std::vector<bool> described;

    /// Bit for bit: two floats may read alike and still differ.
    bool differs(ByteRange range) {
        bool found = false;
        const std::size_t first = *a.offset_of(range.address, range.length);
        for (std::size_t at = first; at < first + range.length; ++at) {
            described[at] = true;
            found = found || a.bytes[at] != b.bytes[at];
        }
        return found;
    }
};

TableDifference changed_cells(const Table& before, const Table& after, Pair& images) {
    TableDifference difference{.table = before.name(), .quantity = before.description.quantity};
    for (std::size_t flat = 0; flat < before.values.size(); ++flat)
        if (images.differs(cell_range(before.description, flat)))
            difference.cells.push_back({before.at(flat), before.values[flat], after.values[flat]});
    return difference;
}

TableDifference changed_points(const Table& before, const Table& after, std::size_t d, Pair& images) {
    const AxisDescription& axis = before.description.axes[d];
    TableDifference difference{.table = before.name(), .axis = d, .quantity = axis.quantity};
    const auto* memory = std::get_if<AxisInMemory>(&axis.source);
    if (memory == nullptr) return difference;
    for (std::size_t i = 0; i < axis.size; ++i)
        if (images.differs(point_range(*memory, i)))
            difference.cells.push_back({{i}, before.axes[d].points()[i], after.axes[d].points()[i]});
    return difference;
}

std::vector<ByteRange> undescribed_differences(const Pair& images) {
    std::vector<ByteRange> outside;
    bool in_run = false;
    for (std::size_t i = 0; i < images.described.size(); ++i) {
        const bool differs = !images.described[i] && images.a.bytes[i] != images.b.bytes[i];
        if (!differs && !in_run) continue;
        const std::uint64_t address = images.a.address_of(i);
        const bool goes_on = in_run && address == outside.back().address + outside.back().length;
        if (differs && !goes_on) outside.push_back({address, 0});
        if (differs) ++outside.back().length;
        in_run = differs;
    }
    return outside;
}

Result<void> comparable(const Image& a, const Image& b) {
    if (a.bytes.size() != b.bytes.size())
        return refuse(fmt::format("images of one size expected, {} holds {} bytes and {} holds {}", a.file,
                                  a.bytes.size(), b.file, b.bytes.size()),
                      Place{b.file});
    if (a.base_address != b.base_address)
        return refuse(fmt::format("images at one base address expected, {} begins at {} and {} at {}", a.file,
                                  address_text(a.base_address), b.file, address_text(b.base_address)),
                      Place{b.file});
    if (a.segments != b.segments)
        return refuse(fmt::format("images of the same addresses expected, {} holds "
                                  "{} and {} holds {}",
                                  a.file, held_by(a), b.file, held_by(b)),
                      Place{b.file});
    return {};
}

}  // namespace

Result<Comparison> compare(const Description& description, std::span<const ChecksumRegion> regions, const Image& a,
                           const Image& b) {
    if (const auto alike = comparable(a, b); !alike) return tl::unexpected(alike.error());
    const auto before = read_tables(description, a), after = read_tables(description, b);
    if (!before) return tl::unexpected(before.error());
    if (!after) return tl::unexpected(after.error());
    const auto checksums_a = check_all(regions, a), checksums_b = check_all(regions, b);
    if (!checksums_a) return tl::unexpected(checksums_a.error());
    if (!checksums_b) return tl::unexpected(checksums_b.error());

    Pair images{a, b, std::vector<bool>(a.bytes.size(), false)};
    Comparison comparison{.a = a.digest, .b = b.digest, .checksums_a = *checksums_a, .checksums_b = *checksums_b};
    const auto keep = [&](TableDifference difference) {
        if (!difference.cells.empty()) comparison.tables.push_back(std::move(difference));
    };
    for (std::size_t t = 0; t < before->tables.size(); ++t) {
        const Table &old_table = before->tables[t], &new_table = after->tables[t];
        keep(changed_cells(old_table, new_table, images));
        for (std::size_t d = 0; d < old_table.axes.size(); ++d) keep(changed_points(old_table, new_table, d, images));
    }
    for (const ChecksumRegion& region : regions) images.differs(store_range(region));
    comparison.outside = undescribed_differences(images);
    return comparison;
}

}  // namespace revwright
