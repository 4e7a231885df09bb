#include "model/image.h"

#include <algorithm>

namespace revwright {

std::optional<std::size_t> Image::offset_of(std::uint64_t address, std::uint64_t length) const {
    const auto within = [&](std::uint64_t first, std::uint64_t size) {
        return address >= first && address - first <= size && length <= size - (address - first);
    };
    if (segments.empty()) {
        if (!within(base_address, bytes.size())) return std::nullopt;
        return static_cast<std::size_t>(address - base_address);
    }
    const auto after = std::ranges::upper_bound(segments, address, {}, &ImageSegment::address);
    if (after == segments.begin()) return std::nullopt;
    const ImageSegment& segment = *(after - 1);
    if (!within(segment.address, segment.length)) return std::nullopt;
    return segment.offset + static_cast<std::size_t>(address - segment.address);
}

std::uint64_t Image::address_of(std::size_t offset) const {
    if (segments.empty()) return base_address + offset;
    const auto after = std::ranges::upper_bound(segments, offset, {}, &ImageSegment::offset);
    const ImageSegment& segment = *(after - 1);
    return segment.address + (offset - segment.offset);
}

}  // namespace revwright
