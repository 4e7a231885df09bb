#include "image/patch.h"

#include <algorithm>
#include <cassert>
#include <fmt/format.h>

#include "image/file_bytes.h"
#include "image/layout.h"

namespace revwright {
namespace {

Result<void> undo_entry(const PatchEntry& entry, Image& image) {
    const auto offset = offset_of(image, {entry.address, entry.child.size()}, "a change to undo", Place{image.file});
    if (!offset) return tl::unexpected(offset.error());
    for (std::size_t i = 0; i < entry.child.size(); ++i)
        if (const std::uint8_t found = image.bytes[*offset + i]; found != entry.child[i])
            return fail(Fault::conflict,
                        fmt::format("the change at {} cannot be undone: 0x{:02X} expected, 0x{:02X} found",
                                    address_text(entry.address + i), entry.child[i], found),
                        Place{image.file});
    std::ranges::copy(entry.parent, image.bytes.begin() + static_cast<std::ptrdiff_t>(*offset));
    return {};
}

}  // namespace

Patch difference(const Image& parent, const Image& child) {
    assert(parent.bytes.size() == child.bytes.size() && parent.base_address == child.base_address &&
           parent.segments == child.segments);
    Patch patch{parent.digest, child.digest, {}};
    bool in_run = false;
    for (std::size_t i = 0; i < parent.bytes.size(); ++i) {
        const bool differs = parent.bytes[i] != child.bytes[i];
        const std::uint64_t address = parent.address_of(i);
        const bool goes_on = in_run && address == patch.entries.back().address + patch.entries.back().child.size();
        if (differs && !goes_on) patch.entries.push_back({address, {}, {}});
        if (differs) {
            patch.entries.back().parent.push_back(parent.bytes[i]);
            patch.entries.back().child.push_back(child.bytes[i]);
        }
        in_run = differs;
    }
    return patch;
}

Result<Image> undo(const Image& child, const Patch& patch) {
    Image parent = child;
    for (const PatchEntry& entry : patch.entries) {
        if (entry.parent.size() != entry.child.size() || entry.child.empty())
            return refuse(fmt::format("the change at {} has {} bytes before and {} after", address_text(entry.address),
                                      entry.parent.size(), entry.child.size()));
        if (const auto undone = undo_entry(entry, parent); !undone) return tl::unexpected(undone.error());
    }
    parent.digest = sha256(file_bytes(parent));
    if (parent.digest != patch.parent)
        return fail(Fault::conflict,
                    "the image is not the one these changes were built into: it differs in other places too",
                    Place{child.file});
    return parent;
}

}  // namespace revwright
