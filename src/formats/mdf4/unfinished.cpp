#include <algorithm>
#include <fmt/format.h>

#include "formats/mdf4/data_pieces.h"

namespace revwright::mdf4 {
namespace {

constexpr std::uint64_t kHeaderBytes = 24;

std::uint64_t end_of(const Piece& piece) {
    return static_cast<std::uint64_t>(piece.stored.size()) + piece.at + kHeaderBytes +
           (piece.kind == Piece::Kind::plain ? 0 : kHeaderBytes);
}

}  // namespace

Result<void> DataLists::add_unlisted(DataPieces& found) {
    std::size_t added = 0;
    for (;;) {
        const std::uint64_t at = (end_of(found.values.back()) + 7) / 8 * 8;
        const auto id = blocks_.id_at(at);
        if ((id != "DT" && id != "DZ") || blocks_.known(at) || (id == "DZ" && blocks_.cut(at))) break;
        if (auto one_more = add(at, found, found.values); !one_more) return one_more;
        ++added;
    }
    if (added > 0)
        lost_.add(fmt::format(
            "the file was not finished: {} data block{} of {} stood in no list and {} found behind the last one", added,
            added == 1 ? "" : "s", whose_, added == 1 ? "was" : "were"));
    return {};
}

Result<void> DataLists::finish(std::vector<DataPieces*> all) {
    std::erase_if(all, [](const DataPieces* pieces) { return pieces->values.empty(); });
    if (unfinished_.last_list) {
        // With several streams it is not known whose block it is.
        if (all.size() == 1) {
            if (auto added = add_unlisted(*all[0]); !added) return added;
        } else if (all.size() > 1) {
            lost_.add(
                "the file was not finished: data blocks that no list names cannot be given to one of several groups");
        }
    }
    if (!unfinished_.last_length) return {};
    Piece* last = nullptr;
    for (DataPieces* const pieces : all)
        for (Piece& piece : pieces->values)
            if (piece.kind == Piece::Kind::plain && (last == nullptr || piece.at > last->at)) last = &piece;
    for (DataPieces* const pieces : all)
        for (Piece& piece : pieces->values) {
            if (piece.kind != Piece::Kind::plain || (piece.length != 0 && &piece != last)) continue;
            const std::uint64_t from = piece.at + kHeaderBytes, end = std::max(from, blocks_.next_known(piece.at));
            // A block that begins right behind it, up to padding, bears its length out.
            if (piece.length != 0 && end - from - piece.length < 8 && end != blocks_.bytes().size()) continue;
            if (piece.length == end - from) continue;
            lost_.add(fmt::format("the file was not finished: the data block at byte {} is read up to byte {}",
                                  piece.at, end));
            piece.stored = blocks_.bytes().subspan(from, end - from);
            piece.length = end - from;
        }
    return {};
}

}  // namespace revwright::mdf4
