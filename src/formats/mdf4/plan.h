#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/error.h"
#include "formats/mdf4/blocks.h"
#include "formats/mdf4/conversion.h"
#include "formats/mdf4/lost.h"
#include "formats/mdf4/texts.h"

namespace revwright::mdf4 {

/// Kinds of channel and what a master channel is master of. Source: ASAM MDF 4.2, block CN.
enum class ChannelType : std::uint8_t { fixed, vlsd, master, virtual_master, sync, mlsd, virtual_data };
enum class SyncType : std::uint8_t { none, time, angle, distance, index };
/// The same block: how the bits are to be read.
enum class DataType : std::uint8_t {
    unsigned_little,
    unsigned_big,
    signed_little,
    signed_big,
    float_little,
    float_big,
    latin1,
    utf8,
    utf16_little,
    utf16_big,
    bytes,
    mime_sample,
    mime_stream,
    canopen_date,
    canopen_time,
    complex_little,
    complex_big,
};

/// Where a channel's value lies in the record, and what is made of it.
struct ChannelPlan {
    std::uint64_t at = 0;  // its block
    std::string name = {}, unit = {};
    ChannelType type = ChannelType::fixed;
    SyncType sync = SyncType::none;
    DataType data_type = DataType::unsigned_little;
    unsigned bit_offset = 0;
    std::uint64_t byte_offset = 0;
    std::uint32_t bit_count = 0;
    bool all_invalid = false;
    std::optional<std::uint64_t> invalidation_bit = {};
    const Conversion* conversion = nullptr;
    std::uint64_t data = 0;  // of a VLSD channel: its texts; of an MLSD channel: the channel of the lengths

    bool is_virtual() const { return type == ChannelType::virtual_master || type == ChannelType::virtual_data; }
    bool is_master() const { return type == ChannelType::master || type == ChannelType::virtual_master; }
    bool is_time() const { return is_master() && sync == SyncType::time; }
    bool is_integer() const { return data_type <= DataType::signed_big; }
    bool is_float() const { return data_type == DataType::float_little || data_type == DataType::float_big; }
    bool is_string() const { return data_type >= DataType::latin1 && data_type <= DataType::utf16_big; }
};

/// A channel group: records of one shape.
struct GroupPlan {
    std::uint64_t at = 0;
    std::size_t index = 0;  // over the whole file
    std::string name = {};
    std::uint64_t record_id = 0;
    std::uint64_t cycles = 0;  // as the file says
    bool vlsd = false;         // its records are texts for a channel of another group
    bool skipped = false;      // nothing of it is wanted; its records are stepped over
    std::uint64_t data_bytes = 0, invalidation_bytes = 0;
    std::uint64_t master = 0;  // the group whose time counts, where it has none of its own
    std::vector<ChannelPlan> channels = {};

    std::uint64_t record_bytes() const { return data_bytes + invalidation_bytes; }
    /// "group 2 (Engine_1)".
    std::string label() const;
};

/// A data group: channel groups whose records share one stream.
struct DataGroupPlan {
    std::uint64_t at = 0, data = 0;
    std::size_t id_bytes = 0;  // of the record id: 0, 1, 2, 4 or 8
    std::vector<GroupPlan> groups = {};
};

/// What the file holds, before any record is read. Its texts and conversions live in `texts` and `conversions`.
Result<std::vector<DataGroupPlan>> read_plan(Blocks& blocks, Texts& texts, Conversions& conversions, Lost& lost);

}  // namespace revwright::mdf4
