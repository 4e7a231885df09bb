#include "formats/mdf4/piece_reader.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <libdeflate.h>
#include <utility>

#include "formats/mdf4/transpose.h"

namespace revwright::mdf4 {
namespace {

// Rows of a transposed block are turned back in parts that stay in the first cache.
constexpr std::size_t kTurnedBytes = 16 * 1024;
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

void Inflater::prepare(const Piece& piece) {
    piece_ = &piece;
    if (!tool_) tool_.reset(libdeflate_alloc_decompressor());
    if (piece.length <= room_) return;
    buffer_.reset();
    buffer_ = std::make_unique_for_overwrite<std::uint8_t[]>(piece.length);
    room_ = piece.length;
}

void Inflater::inflate() {
    std::size_t length = 0;
    whole_ = tool_ &&
             libdeflate_zlib_decompress(tool_.get(), piece_->stored.data(), piece_->stored.size(), buffer_.get(),
                                        piece_->length, &length) == LIBDEFLATE_SUCCESS &&
             length == piece_->length;
}

std::optional<std::span<const std::uint8_t>> Inflater::bytes() const {
    if (!whole_) return std::nullopt;
    return std::span<const std::uint8_t>(buffer_.get(), piece_->length);
}

PieceReader::PieceReader(const Blocks& blocks, const Workers& workers)
    : blocks_(blocks), workers_(workers), inflaters_(2 * workers.count) {}

Result<void> PieceReader::each(const std::vector<Piece>& pieces, const Taker& take) {
    std::span<const Piece> rest(pieces);
    std::span<Inflater> mine = std::span(inflaters_).first(workers_.count);
    std::span<Inflater> others = std::span(inflaters_).last(workers_.count);
    Wave now;
    do {
        const Wave next = wave_of(rest, mine);
        Result<bool> given = true;
        workers_.run(1 + next.deflated, [&](std::size_t task) {
            if (task == 0)
                given = give(now, take);
            else
                next.inflaters[task - 1].inflate();
        });
        if (!given) return tl::unexpected(std::move(given.error()));
        if (!*given) return {};
        now = next;
        rest = rest.subspan(next.pieces.size());
        std::swap(mine, others);
    } while (!now.pieces.empty());
    return {};
}

/// As many of the pieces as hold one deflated block for each inflater, and not much more than kMostAhead bytes.
PieceReader::Wave PieceReader::wave_of(std::span<const Piece> rest, std::span<Inflater> inflaters) const {
    Wave wave{.inflaters = inflaters};
    std::size_t count = 0;
    std::uint64_t bytes = 0;
    for (; count < rest.size() && wave.deflated < inflaters.size() && bytes < kMostAhead; ++count) {
        if (!is_deflated(rest[count])) continue;
        inflaters[wave.deflated++].prepare(rest[count]);
        bytes += rest[count].length;
    }
    wave.pieces = rest.first(count);
    return wave;
}

/// False: enough.
Result<bool> PieceReader::give(const Wave& wave, const Taker& take) {
    std::size_t deflated = 0;
    for (const Piece& piece : wave.pieces) {
        if (piece.kind == Piece::Kind::unknown)
            return blocks_.refused(piece.at, "expected deflated data, found some of another kind of compression");
        if (is_deflated(piece)) {
            if (const auto given = give_inflated(piece, wave.inflaters[deflated++], take); !given || !*given)
                return given;
        } else if (piece.kind == Piece::Kind::zeros ? !give_zeros(piece.length, take)
                                                    : !piece.stored.empty() && !take(piece.stored)) {
            return false;
        }
    }
    return true;
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
