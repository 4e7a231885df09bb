#pragma once

#include <cstdint>
#include <vector>

#include "core/error.h"
#include "model/comparison.h"
#include "model/image.h"

namespace revwright {

/// Refuses images of different size, base address or segments, naming both.
Result<void> comparable(const Image& a, const Image& b);

/// Two comparable images side by side, and which of their bits something has spoken for.
class ImagePair {
public:
    ImagePair(const Image& a, const Image& b) : a_(a), b_(b), described_(a.bytes.size(), 0) {}

    /// Whether the range differs, bit for bit: two floats may read alike and still differ. Precondition: it is held.
    bool differs(ByteRange range) const;
    /// Whether it differs in the bits of `mask`, whose last byte is that of the range's end (`order` big) or start.
    bool differs(ByteRange range, std::uint64_t mask, bool big_end_first) const;
    /// The range is spoken for, in all bits or in those of a mask.
    void describe(ByteRange range);
    void describe(ByteRange range, std::uint64_t mask, bool big_end_first);

    /// Runs of bytes that differ in a bit nothing has spoken for.
    std::vector<ByteRange> undescribed() const;

private:
    bool differs(ByteRange range, std::uint64_t mask, bool big_end_first, bool all) const;

    const Image& a_;
    const Image& b_;
    std::vector<std::uint8_t> described_;  // the bits of each byte
};

}  // namespace revwright
