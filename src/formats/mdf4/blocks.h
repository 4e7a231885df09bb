#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <string_view>

#include "core/error.h"
#include "formats/mdf4/bytes.h"

namespace revwright::mdf4 {

/// A view of one block, wholly inside the file: links first, then what is its own.
/// Source: ASAM MDF 4.2, general block structure: id, 4 reserved bytes, length, number of links.
struct Block {
    std::uint64_t at = 0;      // first byte of its id
    std::uint64_t length = 0;  // with its header of 24 bytes
    std::string_view id;       // without the two '#'
    std::span<const std::uint8_t> links = {};
    std::span<const std::uint8_t> data = {};

    std::size_t link_count() const { return links.size() / 8; }
    /// 0 where it has fewer links.
    std::uint64_t link(std::size_t index) const {
        return index < link_count() ? load<std::uint64_t>(links.data() + 8 * index) : 0;
    }
    /// A number of the block's own part. Precondition: inside `data`, which take() was asked to make long enough.
    template <class T>
    T field(std::size_t offset) const {
        return load<T>(data.data() + offset);
    }
};

/// What a block must have to be understood.
struct BlockShape {
    std::string_view id;
    std::size_t links = 0;       // at least
    std::size_t data_bytes = 0;  // at least
};

/// The blocks of a file by their links. Each byte belongs to one block: whatever overlaps another or is linked twice
/// where it may stand once is refused, which is also what makes every walk end.
class Blocks {
public:
    Blocks(std::span<const std::uint8_t> bytes, const std::string& file) : bytes_(bytes), file_(file) {}

    /// A block that one link only may lead to.
    Result<Block> take(std::uint64_t at, const BlockShape& shape) { return find(at, shape, false); }
    /// A block that may be linked from several places: texts, conversions.
    Result<Block> share(std::uint64_t at, const BlockShape& shape) { return find(at, shape, true); }

    /// The end of the file lies before the end of what should be here, which is what a cut file looks like. A link or
    /// length beyond 2^40 is no such thing but nonsense.
    bool cut(std::uint64_t at) const;
    /// Two letters, empty where no block begins there.
    std::string_view id_at(std::uint64_t at) const;
    /// The block at `at` of whatever kind and length; for data blocks, whose length an unfinished file does not know.
    /// Needs 24 bytes of the file.
    Result<Block> header(std::uint64_t at) const;
    /// Marks [at, at + length) as a block's. Refuses what overlaps another or is there already.
    Result<void> claim(std::uint64_t at, std::uint64_t length);
    /// Where the next known block begins after `at`; the end of the file where none does.
    std::uint64_t next_known(std::uint64_t at) const;
    bool known(std::uint64_t at) const { return extents_.contains(at); }

    std::span<const std::uint8_t> bytes() const { return bytes_; }
    const std::string& file() const { return file_; }
    tl::unexpected<Error> refused(std::uint64_t at, std::string what) const;

private:
    Result<Block> find(std::uint64_t at, const BlockShape& shape, bool shared);

    std::span<const std::uint8_t> bytes_;
    const std::string& file_;
    std::map<std::uint64_t, std::uint64_t> extents_;  // begin to end
};

}  // namespace revwright::mdf4
