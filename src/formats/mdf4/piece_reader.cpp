#include "formats/mdf4/piece_reader.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <libdeflate.h>
#include <new>
#include <utility>

#include "core/in_order.h"
#include "formats/mdf4/transpose.h"

namespace revwright::mdf4 {
namespace {

// Rows of a transposed block are turned back in parts that stay in the first cache.
constexpr std::size_t kTurnedBytes = 16 * 1024;
constexpr std::size_t kAheadEach = 2;  // blocks, for each worker
// Our choice: four blocks of the size that writers use (4 MB) at once; a file of huge blocks must not cost huge memory.
constexpr std::uint64_t kMostAhead = std::uint64_t{16} << 20;
constexpr std::array<std::uint8_t, 4096> kZeros{};

bool is_deflated(const Piece& piece) {
    return piece.kind == Piece::Kind::deflated || piece.kind == Piece::Kind::transposed;
}

bool give_zeros(std::uint64_t length, const PieceReader::Taker& take) {
    for (std::uint64_t left = length; left > 0;) {
        const std::size_t some = std::min<std::uint64_t>(left, kZeros.size());
        if (!take(std::span(kZeros).first(some))) return false;
        left -= some;
    }
    return true;
}

}  // namespace

void Inflater::Free::operator()(libdeflate_decompressor* tool) const { libdeflate_free_decompressor(tool); }

void Inflater::inflate(const Piece& piece) {
    piece_ = &piece;
    whole_ = false;
    if (!tool_) tool_.reset(libdeflate_alloc_decompressor());
    if (!tool_) throw std::bad_alloc();
    if (piece.length > room_) {
        room_ = 0;
        buffer_.reset();
        buffer_ = std::make_unique_for_overwrite<std::uint8_t[]>(piece.length);
        room_ = piece.length;
    }
    std::size_t length = 0;
    whole_ = libdeflate_zlib_decompress(tool_.get(), piece.stored.data(), piece.stored.size(), buffer_.get(),
                                        piece.length, &length) == LIBDEFLATE_SUCCESS &&
             length == piece.length;
}

std::optional<std::span<const std::uint8_t>> Inflater::bytes() const {
    if (!whole_) return std::nullopt;
    return std::span<const std::uint8_t>(buffer_.get(), piece_->length);
}

PieceReader::PieceReader(const Blocks& blocks, const Workers& workers)
    : blocks_(blocks), workers_(workers), inflaters_(workers.count == 1 ? 1 : kAheadEach * workers.count) {}

Result<void> PieceReader::each(const std::vector<Piece>& pieces, const Taker& take) {
    Result<bool> given = true;
    const auto weight = [&](std::size_t i) { return is_deflated(pieces[i]) ? pieces[i].length : 0; };
    const auto inflate = [&](std::size_t i, std::size_t slot) {
        if (is_deflated(pieces[i])) inflaters_[slot].inflate(pieces[i]);
    };
    const auto give_next = [&](std::size_t i, std::size_t slot) {
        given = give(pieces[i], inflaters_[slot], take);
        return given.value_or(false);
    };
    run_in_order({.items = pieces.size(),
                  .slots = inflaters_.size(),
                  .weight = weight,
                  .most_weight = kMostAhead,
                  .make_ready = inflate,
                  .take = give_next},
                 workers_);
    if (!given) return tl::unexpected(given.error());
    return {};
}

/// False: enough.
Result<bool> PieceReader::give(const Piece& piece, const Inflater& inflater, const Taker& take) {
    if (piece.kind == Piece::Kind::unknown)
        return blocks_.refused(piece.at, "expected deflated data, found some of another kind of compression");
    if (is_deflated(piece)) return give_inflated(piece, inflater, take);
    if (piece.kind == Piece::Kind::zeros) return give_zeros(piece.length, take);
    return piece.stored.empty() || take(piece.stored);
}

Result<bool> PieceReader::give_inflated(const Piece& piece, const Inflater& inflater, const Taker& take) {
    const auto bytes = inflater.bytes();
    if (!bytes)
        return blocks_.refused(
            piece.at,
            fmt::format("expected deflated data of {} bytes, found some that do not inflate to that", piece.length));
    const bool turn = piece.kind == Piece::Kind::transposed && piece.columns > 1 && piece.columns <= bytes->size();
    return turn ? turned_back(*bytes, piece.columns, take) : bytes->empty() || take(*bytes);
}

bool PieceReader::turned_back(std::span<const std::uint8_t> bytes, std::size_t columns, const Taker& take) {
    const std::size_t rows = bytes.size() / columns;
    const std::size_t step = std::max<std::size_t>(kTurnedBytes / columns / 8 * 8, 8);
    rows_.resize(std::min(step, rows) * columns);
    for (std::size_t from = 0; from < rows; from += step) {
        const std::size_t count = std::min(step, rows - from);
        turn_back(bytes.data(), rows, columns, from, count, rows_.data());
        if (!take({rows_.data(), count * columns})) return false;
    }
    const auto rest = bytes.subspan(rows * columns);
    return rest.empty() || take(rest);
}

}  // namespace revwright::mdf4
