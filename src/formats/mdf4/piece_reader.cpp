#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <libdeflate.h>

#include "formats/mdf4/data_pieces.h"
#include "formats/mdf4/transpose.h"

namespace revwright::mdf4 {
namespace {

// Rows of a transposed block are turned back in parts that stay in the first cache.
constexpr std::size_t kTurnedBytes = 16 * 1024;
constexpr std::array<std::uint8_t, 4096> kZeros{};

}  // namespace

PieceReader::PieceReader(const Blocks& blocks) : blocks_(blocks), inflater_(libdeflate_alloc_decompressor()) {}
PieceReader::~PieceReader() { libdeflate_free_decompressor(static_cast<libdeflate_decompressor*>(inflater_)); }

Result<std::span<const std::uint8_t>> PieceReader::inflated(const Piece& piece) {
    if (piece.length > buffer_bytes_) {
        buffer_.reset();
        buffer_ = std::make_unique_for_overwrite<std::uint8_t[]>(piece.length);
        buffer_bytes_ = piece.length;
    }
    std::size_t length = 0;
    const auto outcome =
        inflater_ == nullptr
            ? LIBDEFLATE_BAD_DATA
            : libdeflate_zlib_decompress(static_cast<libdeflate_decompressor*>(inflater_), piece.stored.data(),
                                         piece.stored.size(), buffer_.get(), piece.length, &length);
    if (outcome != LIBDEFLATE_SUCCESS || length != piece.length)
        return blocks_.refused(
            piece.at,
            fmt::format("expected deflated data of {} bytes, found some that do not inflate to that", piece.length));
    return std::span<const std::uint8_t>(buffer_.get(), length);
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

Result<void> PieceReader::each(const std::vector<Piece>& pieces, const Taker& take) {
    for (const Piece& piece : pieces) {
        if (piece.kind == Piece::Kind::plain) {
            if (!piece.stored.empty() && !take(piece.stored)) return {};
            continue;
        }
        if (piece.kind == Piece::Kind::zeros) {
            for (std::uint64_t left = piece.length; left > 0;) {
                const std::size_t some = std::min<std::uint64_t>(left, kZeros.size());
                if (!take(std::span(kZeros).first(some))) return {};
                left -= some;
            }
            continue;
        }
        if (piece.kind == Piece::Kind::unknown)
            return blocks_.refused(piece.at, "expected deflated data, found some of another kind of compression");
        const auto bytes = inflated(piece);
        if (!bytes) return tl::unexpected(bytes.error());
        const bool turn = piece.kind == Piece::Kind::transposed && piece.columns > 1 && piece.columns <= bytes->size();
        if (turn ? !turned_back(*bytes, piece.columns, take) : !bytes->empty() && !take(*bytes)) return {};
    }
    return {};
}

}  // namespace revwright::mdf4
