#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/error.h"
#include "formats/mdf4/blocks.h"
#include "formats/mdf4/lost.h"

namespace revwright::mdf4 {

/// A stretch of a data stream as one block holds it.
struct Piece {
    enum class Kind : std::uint8_t { plain, deflated, transposed, zeros, unknown };
    Kind kind = Kind::plain;
    std::uint64_t at = 0;                       // its block
    std::span<const std::uint8_t> stored = {};  // as in the file
    std::uint64_t length = 0;                   // of the stream
    std::uint64_t columns = 0;                  // of transposed: bytes of a record
};

/// A stream of records, of values and apart from them invalidation bytes (4.2, DV and DI), or of texts.
struct DataPieces {
    std::vector<Piece> values, invalid;
    bool apart = false;  // the records hold no invalidation bytes: these stand in `invalid`, or nowhere
    std::uint64_t length() const;
    std::uint64_t invalid_length() const;
};

/// What an unfinished file's flags say is not to be relied on. Source: ASAM MDF 4.2, id_unfin_flags.
struct Unfinished {
    bool cycles = false;        // counters of records
    bool last_length = false;   // length of the last DT
    bool last_list = false;     // links of the last DL
    bool text_bytes = false;    // sizes of VLSD groups
    bool text_offsets = false;  // offsets of VLSD channels into VLSD groups
    bool any() const { return cycles || last_length || last_list || text_bytes || text_offsets; }
};

/// Follows the links from a data group or a VLSD channel to its data blocks: DT, SD, DV, DZ, or lists of them (DL, HL
/// before it, LD).
class DataLists {
public:
    DataLists(Blocks& blocks, Lost& lost, const Unfinished& unfinished)
        : blocks_(blocks), lost_(lost), unfinished_(unfinished) {}
    /// `whose`: for sentences, "group 2" or "channel gear".
    Result<DataPieces> read(std::uint64_t link, const std::string& whose);
    /// In an unfinished file: blocks that follow the last of the list without being in it, and the last block's length.
    /// To be called once all else of the file is known.
    Result<void> finish(std::vector<DataPieces*> all);

private:
    Result<void> add(std::uint64_t at, DataPieces& found, std::vector<Piece>& to);
    Result<void> add_deflated(std::uint64_t at, DataPieces& found, std::vector<Piece>& to);
    Result<void> list(std::uint64_t first, DataPieces& found);
    Result<void> list_of_values(std::uint64_t first, DataPieces& found);
    bool cut(std::uint64_t at);
    Result<void> add_unlisted(DataPieces& found);

    Blocks& blocks_;
    Lost& lost_;
    const Unfinished& unfinished_;
    std::string whose_;
};

}  // namespace revwright::mdf4
