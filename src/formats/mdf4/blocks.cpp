#include "formats/mdf4/blocks.h"

#include <algorithm>
#include <cctype>
#include <fmt/format.h>
#include <iterator>

namespace revwright::mdf4 {
namespace {

constexpr std::uint64_t kHeaderBytes = 24;
// Our choice: a tebibyte. What lies beyond is no cut file but a wrong number.
constexpr std::uint64_t kAbsurd = std::uint64_t{1} << 40;

std::string shown(std::string_view id) {
    std::string text;
    for (const char c : id) text += std::isprint(static_cast<unsigned char>(c)) ? c : '?';
    return text;
}

}  // namespace

tl::unexpected<Error> Blocks::refused(std::uint64_t at, std::string what) const {
    return refuse(std::move(what), Place{.file = file_, .byte = at});
}

std::string_view Blocks::id_at(std::uint64_t at) const {
    if (at > bytes_.size() || bytes_.size() - at < kHeaderBytes) return {};
    const auto* chars = reinterpret_cast<const char*>(bytes_.data() + at);
    return chars[0] == '#' && chars[1] == '#' ? std::string_view(chars + 2, 2) : std::string_view{};
}

bool Blocks::cut(std::uint64_t at) const {
    if (at > kAbsurd) return false;
    if (at > bytes_.size() || bytes_.size() - at < kHeaderBytes) return true;
    if (id_at(at).empty()) return false;
    const auto length = load<std::uint64_t>(bytes_.data() + at + 8);
    return length <= kAbsurd && length > bytes_.size() - at;
}

Result<Block> Blocks::header(std::uint64_t at) const {
    if (at > bytes_.size() || bytes_.size() - at < kHeaderBytes)
        return refused(at, fmt::format("expected a block here, found the end of the file at byte {}", bytes_.size()));
    const auto* from = bytes_.data() + at;
    const auto id = id_at(at);
    if (id.empty())
        return refused(at, fmt::format("expected a block, which begins with \"##\", found \"{}\"",
                                       shown({reinterpret_cast<const char*>(from), 4})));
    const auto length = load<std::uint64_t>(from + 8), links = load<std::uint64_t>(from + 16);
    if (links > (bytes_.size() - at - kHeaderBytes) / 8)
        return refused(
            at, fmt::format("expected a block {} whose links are in the file, found {} links", shown(id), links));
    return Block{.at = at, .length = length, .id = id, .links = bytes_.subspan(at + kHeaderBytes, 8 * links)};
}

Result<Block> Blocks::find(std::uint64_t at, const BlockShape& shape, bool shared) {
    auto block = header(at);
    if (!block) return block;
    if (block->id != shape.id)
        return refused(at, fmt::format("expected a block {}, found {}", shape.id, shown(block->id)));
    const std::uint64_t head = kHeaderBytes + block->links.size();
    if (block->length < head + shape.data_bytes || block->link_count() < shape.links)
        return refused(at, fmt::format("expected a block {} of at least {} bytes with {} links, found {} with {}",
                                       shape.id, kHeaderBytes + 8 * shape.links + shape.data_bytes, shape.links,
                                       block->length, block->link_count()));
    if (block->length > bytes_.size() - at)
        return refused(at, fmt::format("expected a block {} that ends in the file of {} bytes, found a length of {}",
                                       shape.id, bytes_.size(), block->length));
    block->data = bytes_.subspan(at + head, block->length - head);
    if (shared && known(at)) return block;
    if (auto claimed = claim(at, block->length); !claimed) return tl::unexpected(std::move(claimed.error()));
    return block;
}

Result<void> Blocks::claim(std::uint64_t at, std::uint64_t length) {
    const auto after = extents_.upper_bound(at);
    if (after != extents_.begin()) {
        const auto& [begin, end] = *std::prev(after);
        if (begin == at)
            return refused(at, "expected a block that is linked once, found a second link: the links run in a circle");
        if (end > at)
            return refused(at,
                           fmt::format("expected blocks that do not overlap, found one within that of byte {}", begin));
    }
    const std::uint64_t end = at + std::max(length, kHeaderBytes);
    if (after != extents_.end() && after->first < end)
        return refused(at,
                       fmt::format("expected blocks that do not overlap, found one that reaches into that of byte {}",
                                   after->first));
    extents_.emplace_hint(after, at, end);
    return {};
}

std::uint64_t Blocks::next_known(std::uint64_t at) const {
    const auto after = extents_.upper_bound(at);
    return after == extents_.end() ? bytes_.size() : after->first;
}

}  // namespace revwright::mdf4
