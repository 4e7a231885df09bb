#include "image/image_pair.h"

#include <fmt/format.h>
#include <vector>

#include "image/layout.h"

namespace revwright {
namespace {

/// The bits of the mask that belong to byte i of a range.
std::uint8_t bits_of(std::uint64_t mask, std::uint64_t length, std::uint64_t i, bool big_end_first) {
    const std::uint64_t from_last = big_end_first ? length - 1 - i : i;
    return from_last < 8 ? static_cast<std::uint8_t>(mask >> (8 * from_last) & 0xFFU) : std::uint8_t{0};
}

/// A binary image is one run.
std::vector<ImageSegment> runs_of(const Image& image) {
    if (!image.segments.empty()) return image.segments;
    return {{image.base_address, 0, image.bytes.size()}};
}

}  // namespace

Result<void> comparable(const Image& a, const Image& b) {
    if (a.records || b.records) {
        if (runs_of(a) == runs_of(b)) return {};
        return refuse(fmt::format("images of the same addresses expected, {} holds {} and {} holds {}", a.file,
                                  held_by(a), b.file, held_by(b)),
                      Place{b.file});
    }
    if (a.bytes.size() != b.bytes.size())
        return refuse(fmt::format("images of one size expected, {} holds {} bytes and {} holds {}", a.file,
                                  a.bytes.size(), b.file, b.bytes.size()),
                      Place{b.file});
    if (a.base_address != b.base_address)
        return refuse(fmt::format("images at one base address expected, {} begins at {} and {} at {}", a.file,
                                  address_text(a.base_address), b.file, address_text(b.base_address)),
                      Place{b.file});
    return {};
}

bool ImagePair::differs(ByteRange range) const { return differs(range, 0, false, true); }

bool ImagePair::differs(ByteRange range, std::uint64_t mask, bool big_end_first) const {
    return differs(range, mask, big_end_first, false);
}

bool ImagePair::differs(ByteRange range, std::uint64_t mask, bool big_end_first, bool all) const {
    const std::size_t first = *a_.offset_of(range.address, range.length);
    for (std::uint64_t i = 0; i < range.length; ++i) {
        const std::uint8_t bits = all ? std::uint8_t{0xFF} : bits_of(mask, range.length, i, big_end_first);
        if (((a_.bytes[first + i] ^ b_.bytes[first + i]) & bits) != 0) return true;
    }
    return false;
}

void ImagePair::describe(ByteRange range) {
    const std::size_t first = *a_.offset_of(range.address, range.length);
    for (std::uint64_t i = 0; i < range.length; ++i) described_[first + i] = 0xFF;
}

void ImagePair::describe(ByteRange range, std::uint64_t mask, bool big_end_first) {
    const std::size_t first = *a_.offset_of(range.address, range.length);
    for (std::uint64_t i = 0; i < range.length; ++i)
        described_[first + i] |= bits_of(mask, range.length, i, big_end_first);
}

std::vector<ByteRange> ImagePair::undescribed() const {
    std::vector<ByteRange> outside;
    bool in_run = false;
    for (std::size_t i = 0; i < described_.size(); ++i) {
        const bool differs = ((a_.bytes[i] ^ b_.bytes[i]) & ~described_[i] & 0xFF) != 0;
        if (!differs && !in_run) continue;
        const std::uint64_t address = a_.address_of(i);
        const bool goes_on = in_run && address == outside.back().address + outside.back().length;
        if (differs && !goes_on) outside.push_back({address, 0});
        if (differs) ++outside.back().length;
        in_run = differs;
    }
    return outside;
}

}  // namespace revwright
