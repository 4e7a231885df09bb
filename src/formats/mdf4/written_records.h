#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "model/log.h"

namespace revwright::mdf4 {

/// How the samples of one channel stand in a record.
struct WrittenColumn {
    enum class Form { f64, f32, index, text_offset };
    const Channel* channel = nullptr;
    Form form = Form::f64;
    std::uint32_t byte_offset = 0;
    std::uint32_t bytes = 8;
    std::optional<std::uint32_t> invalidation_bit = {};  // where a sample is missing, else none is needed
};

/// The records of one group: its time as f64 in bytes 0 to 7, then the channels as they come, then the
/// invalidation bits.
struct WrittenGroup {
    const TimeBase* base = nullptr;
    std::vector<WrittenColumn> columns;
    std::uint32_t data_bytes = 8;
    std::uint32_t invalidation_bytes = 0;
    std::size_t record_bytes() const { return std::size_t{data_bytes} + invalidation_bytes; }
};

/// One group for each time base, and where channels of one time base come from several groups of a file, one for each
/// of those. Each channel takes the shortest form that keeps every sample bit for bit; words are indices into a
/// conversion while one can list them, else offsets of texts.
std::vector<WrittenGroup> plan_groups(const Log& log);

/// Whether there is a sample: a number, and no index beyond the texts.
bool is_sample(const Channel& channel, double value);

/// All records, one behind the other.
std::vector<std::uint8_t> written_records(const WrittenGroup& group);

/// The texts of a channel of offsets: for each of its samples the length and the text (UTF-8, closed by a zero).
std::vector<std::uint8_t> written_texts(const Channel& channel);

}  // namespace revwright::mdf4
