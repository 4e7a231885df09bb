#include "image/compare.h"

#include <vector>

#include "image/checksum.h"
#include "image/image_pair.h"
#include "image/layout.h"
#include "image/read.h"

namespace revwright {
namespace {

/// Whether a cell or point differs; it is spoken for.
bool differs(ImagePair& images, ByteRange range) {
    images.describe(range);
    return images.differs(range);
}

TableDifference changed_cells(const Table& before, const Table& after, ImagePair& images) {
    TableDifference difference{.table = before.name(), .quantity = before.description.quantity};
    for (std::size_t flat = 0; flat < before.values.size(); ++flat)
        if (differs(images, cell_range(before.description, flat)))
            difference.cells.push_back({before.at(flat), before.values[flat], after.values[flat]});
    return difference;
}

TableDifference changed_points(const Table& before, const Table& after, std::size_t d, ImagePair& images) {
    const AxisDescription& axis = before.description.axes[d];
    TableDifference difference{.table = before.name(), .axis = d, .quantity = axis.quantity};
    const auto* memory = std::get_if<AxisInMemory>(&axis.source);
    if (memory == nullptr) return difference;
    for (std::size_t i = 0; i < axis.size; ++i)
        if (differs(images, point_range(*memory, i)))
            difference.cells.push_back({{i}, before.axes[d].points()[i], after.axes[d].points()[i]});
    return difference;
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

    ImagePair images(a, b);
    Comparison comparison{.a = a.digest, .b = b.digest, .checksums_a = *checksums_a, .checksums_b = *checksums_b};
    const auto keep = [&](TableDifference difference) {
        if (!difference.cells.empty()) comparison.tables.push_back(std::move(difference));
    };
    for (std::size_t t = 0; t < before->tables.size(); ++t) {
        const Table &old_table = before->tables[t], &new_table = after->tables[t];
        keep(changed_cells(old_table, new_table, images));
        for (std::size_t d = 0; d < old_table.axes.size(); ++d) keep(changed_points(old_table, new_table, d, images));
    }
    for (const ChecksumRegion& region : regions) images.describe(store_range(region));
    comparison.outside = images.undescribed();
    return comparison;
}

}  // namespace revwright
