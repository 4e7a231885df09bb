#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace revwright::mdf4 {

/// Little-endian bytes behind what is there.
class BytesOut {
public:
    explicit BytesOut(std::vector<std::uint8_t>& bytes) : bytes_(bytes) {}
    void integer(std::uint64_t value, std::size_t bytes);
    void real(double value);
    void zeros(std::size_t count) { bytes_.insert(bytes_.end(), count, 0); }
    void chars(std::string_view text) { raw({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()}); }
    void raw(std::span<const std::uint8_t> more);

private:
    std::vector<std::uint8_t>& bytes_;
};

/// A file of MDF blocks while it is written: each block begins at a multiple of eight, the link to it is its position.
/// Layouts: ASAM MDF 4.1 associated standard.
class BlockWriter {
public:
    using Link = std::uint64_t;  // 0 = none

    /// Identification block, finalised, version 4.10.
    BlockWriter();
    /// id: two letters. `data` is what stands behind the links.
    Link block(std::string_view id, std::span<const Link> links, std::span<const std::uint8_t> data);
    /// TX, up to the first zero byte; equal texts share one block.
    Link text(const std::string& text);
    /// MD: what must be XML.
    Link xml(std::string_view text);
    void set_link(Link owner, std::size_t index, Link target);
    std::vector<std::uint8_t> finish() && { return std::move(bytes_); }

private:
    Link closed_text(std::string_view id, std::string_view text);

    std::vector<std::uint8_t> bytes_;
    std::map<std::string, Link> texts_;
};

}  // namespace revwright::mdf4
