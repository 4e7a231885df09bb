#include "image/build.h"

#include <algorithm>
#include <fmt/format.h>
#include <utility>

#include "image/approve.h"
#include "image/checksum.h"
#include "image/file_bytes.h"
#include "image/layout.h"
#include "image/patch.h"
#include "image/read.h"
#include "image/shared.h"
#include "image/verify.h"
#include "model/coding.h"

namespace revwright {
namespace {

Result<void> made_for(const Proposal& proposal, const Image& parent) {
    if (proposal.parent == parent.digest) return {};
    return fail(Fault::conflict, fmt::format("the proposal was made for image {}, the parent given is {}",
                                             to_hex(proposal.parent), to_hex(parent.digest)));
}

/// A declaration that does not fit its own image would be written over bytes that are no checksum.
Result<std::vector<ChecksumState>> matching_checksums(const Image& parent, std::span<const ChecksumRegion> regions) {
    auto states = check_all(regions, parent);
    if (!states) return states;
    if (const auto order = settling_order(regions); !order) return tl::unexpected(order.error());
    for (std::size_t i = 0; i < states->size(); ++i)
        if (const ChecksumState& state = (*states)[i]; !state.ok()) {
            const int digits = static_cast<int>(2 * store_range(regions[i]).length);
            return refuse(
                fmt::format("the checksum stored at {} does not match image {}: 0x{:0{}X} stored, 0x{:0{}X} "
                            "computed; the region or its parameters are not declared as in this image",
                            address_text(state.store), parent.file, state.found, digits, state.expected, digits),
                regions[i].where);
        }
    return states;
}

void write_cell(const ChangedCell& cell, const Coding& coding, Image& image) {
    const auto offset = *image.offset_of(cell.address, size_of(coding.type));
    write_raw(std::span(image.bytes).subspan(offset, size_of(coding.type)), coding, cell.raw_to);
}

std::vector<ChangedChecksum> changed_checksums(std::span<const ChecksumRegion> regions,
                                               std::span<const ChecksumState> before, const Image& child) {
    std::vector<ChangedChecksum> changed;
    for (std::size_t i = 0; i < regions.size(); ++i)
        if (const std::uint32_t now = compute(regions[i], child); now != before[i].found)
            changed.push_back(
                {regions[i].store, static_cast<std::size_t>(store_range(regions[i]).length), before[i].found, now});
    return changed;
}

}  // namespace

Result<BuiltImage> build(const Image& parent, const Description& description, std::span<const ChecksumRegion> regions,
                         const Proposal& proposal, std::span<const NamedBytes> others) {
    if (const auto ours = made_for(proposal, parent); !ours) return tl::unexpected(ours.error());
    const auto before = read_tables(description, parent);
    if (!before) return tl::unexpected(before.error());
    const auto checksums = matching_checksums(parent, regions);
    if (!checksums) return tl::unexpected(checksums.error());
    auto cells = approved_cells(proposal, *before);
    if (!cells) return tl::unexpected(cells.error());
    std::erase_if(*cells, [](const ChangedCell& cell) { return cell.raw_from == cell.raw_to; });
    if (const auto alone = moves_only_itself(*cells, description, regions, others); !alone)
        return tl::unexpected(alone.error());

    BuiltImage built{.image = parent, .parent = parent.digest, .cells = std::move(*cells)};
    for (const ChangedCell& cell : built.cells) write_cell(cell, description.find(cell.table)->coding, built.image);
    if (!built.cells.empty())
        if (const auto settled = settle(regions, built.image); !settled) return tl::unexpected(settled.error());
    built.image.digest = sha256(file_bytes(built.image));
    if (const auto sound = verify_build(parent, *before, built.image, built.cells, description, regions); !sound)
        return tl::unexpected(sound.error());
    built.checksums = changed_checksums(regions, *checksums, built.image);
    built.inverse = difference(parent, built.image);
    return built;
}

}  // namespace revwright
