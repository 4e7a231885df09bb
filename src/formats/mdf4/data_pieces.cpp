#include "formats/mdf4/data_pieces.h"

#include <algorithm>
#include <fmt/format.h>
#include <numeric>

namespace revwright::mdf4 {
namespace {

constexpr std::uint64_t kHeaderBytes = 24;
constexpr std::size_t kDeflatedHead = 24;  // of a DZ block, between its header and what is deflated
// Deflate cannot shrink further: 258 bytes for two bits of code (RFC 1951, 3.2.5).
constexpr std::uint64_t kMostOutOfDeflate = 1032;
// Our choice: what one deflated block may hold in a file of any size; larger files may have larger ones.
constexpr std::uint64_t kLargestBlock = 64u << 20;
constexpr std::uint64_t kLargestToFile = 32;
constexpr std::uint32_t kInvalidationPresent = 1u << 31;

bool is_plain(std::string_view id) { return id == "DT" || id == "SD" || id == "DV" || id == "DI" || id == "RD"; }

std::uint64_t total(const std::vector<Piece>& pieces) {
    return std::accumulate(pieces.begin(), pieces.end(), std::uint64_t{0},
                           [](std::uint64_t sum, const Piece& piece) { return sum + piece.length; });
}

}  // namespace

std::uint64_t DataPieces::length() const { return total(values); }
std::uint64_t DataPieces::invalid_length() const { return total(invalid); }

Result<DataPieces> DataLists::read(std::uint64_t link, const std::string& whose) {
    whose_ = whose;
    DataPieces found;
    if (link == 0 || cut(link)) return found;
    std::uint64_t at = link;
    if (blocks_.id_at(at) == "HL") {
        const auto head = blocks_.take(at, {.id = "HL", .links = 1});
        if (!head) return tl::unexpected(head.error());
        at = head->link(0);
        if (at == 0 || cut(at)) return found;
    }
    const auto id = blocks_.id_at(at);
    const auto read_in = id == "DL"   ? list(at, found)
                         : id == "LD" ? list_of_values(at, found)
                                      : add(at, found, found.values);
    if (!read_in) return tl::unexpected(read_in.error());
    return found;
}

/// Whether a data block or list cannot be reached; a data block whose end is missing can.
bool DataLists::cut(std::uint64_t at) {
    const auto id = blocks_.id_at(at);
    if (id == "GD") {
        lost_.add(fmt::format("further data of {} are guarded against readers of MDF 4.2 (byte {})", whose_, at));
        return true;
    }
    if (!blocks_.cut(at) || is_plain(id)) return false;
    lost_.cut(fmt::format("further data of {} lie at byte {}, where the file ends before them", whose_, at));
    return true;
}

Result<void> DataLists::add(std::uint64_t at, DataPieces& found, std::vector<Piece>& to) {
    if (blocks_.id_at(at) == "DZ") return add_deflated(at, found, to);
    const auto block = blocks_.header(at);
    if (!block) return tl::unexpected(block.error());
    if (!is_plain(block->id))
        return blocks_.refused(
            at, fmt::format("expected data (a block DT, SD, DV, DI or DZ), found a block {}", block->id));
    found.apart |= block->id == "DV";
    const std::uint64_t room = blocks_.bytes().size() - at;
    std::uint64_t length = block->length;
    const bool open = unfinished_.last_length && (length <= kHeaderBytes || length > room);
    if (open) length = kHeaderBytes;
    if (length < kHeaderBytes || block->link_count() != 0)
        return blocks_.refused(
            at, fmt::format("expected a block {} of 24 bytes or more without links, found {} bytes and {} links",
                            block->id, length, block->link_count()));
    if (length > room) {
        if (!blocks_.cut(at))
            return blocks_.refused(
                at, fmt::format("expected data that end in the file, found a length of {} bytes", length));
        lost_.cut(fmt::format("the data of {} at byte {} are cut short: {} of {} bytes are there", whose_, at,
                              room - kHeaderBytes, length - kHeaderBytes));
        length = room;
    }
    if (auto claimed = blocks_.claim(at, length); !claimed) return claimed;
    to.push_back({.at = at,
                  .stored = blocks_.bytes().subspan(at + kHeaderBytes, length - kHeaderBytes),
                  .length = length - kHeaderBytes});
    return {};
}

Result<void> DataLists::add_deflated(std::uint64_t at, DataPieces& found, std::vector<Piece>& to) {
    const auto block = blocks_.take(at, {.id = "DZ", .data_bytes = kDeflatedHead});
    if (!block) return tl::unexpected(block.error());
    const std::string_view original(reinterpret_cast<const char*>(block->data.data()), 2);
    const auto how = block->field<std::uint8_t>(2);
    const auto length = block->field<std::uint64_t>(8), stored = block->field<std::uint64_t>(16);
    if (!is_plain(original) || stored > block->data.size() - kDeflatedHead)
        return blocks_.refused(at, fmt::format("expected {} deflated bytes of a data block, found {}", stored,
                                               block->data.size() - kDeflatedHead));
    if (length / kMostOutOfDeflate > stored ||
        length > std::max<std::uint64_t>(kLargestBlock, kLargestToFile * blocks_.bytes().size()))
        return blocks_.refused(
            at, fmt::format("expected a length that {} deflated bytes can hold, found {} bytes", stored, length));
    found.apart |= original == "DV";
    const auto kind = how == 0 ? Piece::Kind::deflated : how == 1 ? Piece::Kind::transposed : Piece::Kind::unknown;
    to.push_back({.kind = kind,
                  .at = at,
                  .stored = block->data.subspan(kDeflatedHead, stored),
                  .length = length,
                  .columns = block->field<std::uint32_t>(4)});
    return {};
}

Result<void> DataLists::list(std::uint64_t first, DataPieces& found) {
    for (std::uint64_t at = first; at != 0;) {
        if (cut(at)) return {};
        const auto block = blocks_.take(at, {.id = "DL", .links = 1, .data_bytes = 8});
        if (!block) return tl::unexpected(block.error());
        const std::size_t count = block->field<std::uint32_t>(4);
        if (count >= block->link_count() && !unfinished_.last_list && count != 0)
            return blocks_.refused(
                at, fmt::format("expected a list of {} links, found {}", count, block->link_count() - 1));
        for (std::size_t i = 1; i < block->link_count(); ++i) {
            if (!unfinished_.last_list && i > count) break;
            if (block->link(i) == 0) continue;
            if (cut(block->link(i))) return {};
            if (auto added = add(block->link(i), found, found.values); !added) return added;
        }
        at = block->link(0);
    }
    return {};
}

Result<void> DataLists::list_of_values(std::uint64_t first, DataPieces& found) {
    found.apart = true;
    for (std::uint64_t at = first; at != 0;) {
        if (cut(at)) return {};
        const auto block = blocks_.take(at, {.id = "LD", .links = 1, .data_bytes = 8});
        if (!block) return tl::unexpected(block.error());
        const bool with_invalid = (block->field<std::uint32_t>(0) & kInvalidationPresent) != 0;
        const std::size_t count = block->field<std::uint32_t>(4);
        if ((with_invalid ? 2 : 1) * count >= block->link_count() && count != 0)
            return blocks_.refused(at, fmt::format("expected a list of {} links, found {}",
                                                   (with_invalid ? 2 : 1) * count, block->link_count() - 1));
        for (std::size_t i = 1; i <= count; ++i) {
            if (block->link(i) == 0 || cut(block->link(i))) return {};
            if (auto added = add(block->link(i), found, found.values); !added) return added;
            const std::uint64_t invalid = with_invalid ? block->link(count + i) : 0;
            // Nothing is invalid in this part: its length is known once the records' is.
            if (invalid == 0)
                found.invalid.push_back({.kind = Piece::Kind::zeros, .at = found.values.size() - 1});
            else if (cut(invalid))
                return {};
            else if (auto more = add(invalid, found, found.invalid); !more)
                return more;
        }
        at = block->link(0);
    }
    return {};
}

}  // namespace revwright::mdf4
