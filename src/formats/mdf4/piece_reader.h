#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "core/error.h"
#include "core/workers.h"
#include "formats/mdf4/data_pieces.h"

struct libdeflate_decompressor;

namespace revwright::mdf4 {

/// One deflated block at a time, inflated into a buffer that is used again.
class Inflater {
public:
    /// Throws std::bad_alloc; what cannot be inflated shows in bytes().
    void inflate(const Piece& piece);
    /// The bytes of the piece; nothing where its data do not inflate to its length (RFC 1950).
    std::optional<std::span<const std::uint8_t>> bytes() const;

private:
    struct Free {
        void operator()(libdeflate_decompressor* tool) const;
    };
    std::unique_ptr<libdeflate_decompressor, Free> tool_;
    std::unique_ptr<std::uint8_t[]> buffer_;
    std::size_t room_ = 0;
    const Piece* piece_ = nullptr;
    bool whole_ = false;
};

/// Gives a stream piece by piece, in order. Meanwhile the workers inflate what comes next (core/in_order.h).
class PieceReader {
public:
    PieceReader(const Blocks& blocks, const Workers& workers);

    using Taker = std::function<bool(std::span<const std::uint8_t>)>;  // false: enough
    /// Errors: a deflated block that does not inflate to its length; what came before was given.
    Result<void> each(const std::vector<Piece>& pieces, const Taker& take);

private:
    Result<bool> give(const Piece& piece, const Inflater& inflater, const Taker& take);
    Result<bool> give_inflated(const Piece& piece, const Inflater& inflater, const Taker& take);
    bool turned_back(std::span<const std::uint8_t> bytes, std::size_t columns, const Taker& take);

    const Blocks& blocks_;
    const Workers& workers_;
    std::vector<Inflater> inflaters_;
    std::vector<std::uint8_t> rows_;
};

}  // namespace revwright::mdf4
