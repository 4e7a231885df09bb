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
    /// What needs memory, so that inflating itself needs none.
    void prepare(const Piece& piece);
    void inflate();
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

/// Gives a stream piece by piece. While it is given, the workers inflate what comes next.
class PieceReader {
public:
    PieceReader(const Blocks& blocks, const Workers& workers);

    using Taker = std::function<bool(std::span<const std::uint8_t>)>;  // false: enough
    /// Errors: a deflated block that does not inflate to its length; what came before was given.
    Result<void> each(const std::vector<Piece>& pieces, const Taker& take);

private:
    /// Some pieces of the stream, with what their deflated ones are inflated by.
    struct Wave {
        std::span<const Piece> pieces = {};
        std::size_t deflated = 0;
        std::span<Inflater> inflaters = {};
    };
    Wave wave_of(std::span<const Piece> rest, std::span<Inflater> inflaters) const;
    Result<bool> give(const Wave& wave, const Taker& take);
    Result<bool> give_inflated(const Piece& piece, const Inflater& inflater, const Taker& take);
    bool turned_back(std::span<const std::uint8_t> bytes, std::size_t columns, const Taker& take);

    const Blocks& blocks_;
    const Workers& workers_;
    std::vector<Inflater> inflaters_;  // half for the wave that is given, half for the next
    std::vector<std::uint8_t> rows_;
};

}  // namespace revwright::mdf4
