#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "formats/mdf4/numbers.h"
#include "formats/mdf4/plan.h"
#include "formats/mdf4/words.h"

namespace revwright::mdf4 {

/// How many records are turned into columns at once: their bytes and one column's values stay in the first cache.
inline constexpr std::size_t kTileBytes = 24 * 1024;
inline constexpr std::size_t kTileRows = 1024;

/// One channel while records are read: its samples so far.
class Column {
public:
    enum class Kind : std::uint8_t {
        number,
        word,       // of a fixed place in the record
        long_word,  // whose length another channel gives (MLSD)
        offset,     // of a text elsewhere (VLSD)
        row,        // virtual: the number of the record
        day_time,   // CANopen: milliseconds of the day, and days
        date,       // CANopen: calendar date
    };
    /// Nothing where the channel cannot be read from such records; `why_not` then says so.
    static std::optional<Column> make(const ChannelPlan& channel, const GroupPlan& group, bool invalidation_apart,
                                      std::size_t& room_for_texts, std::string& why_not);

    /// Adds the samples of up to kTileRows records.
    void take(const std::uint8_t* records, std::size_t stride, std::size_t count);
    /// Virtual channels: the record numbers, once the records are counted.
    void fill(std::size_t rows);
    /// Invalidation bytes that stand apart from the records: one per record from `first_row` on.
    void take_invalid(const std::uint8_t* bytes, std::size_t stride, std::size_t first_row, std::size_t count);

    Kind kind() const { return kind_; }
    const ChannelPlan& plan() const { return *plan_; }
    /// The script of its texts. Precondition: the plan is of strings.
    Script script() const;
    /// Numbers from integers, to which closed ranges apply.
    bool whole() const { return kind_ == Kind::row || (kind_ == Kind::number && !field_.is_float); }
    std::size_t work_per_sample() const;

    std::vector<double> values;
    std::optional<Words> words;  // of Kind::word and long_word: values are indices
    std::size_t not_finite = 0;  // numbers that were infinite, as 1 / 0 is; no sample there

private:
    Column(const ChannelPlan& channel, Kind kind) : kind_(kind), plan_(&channel) {}
    bool place(const GroupPlan& group, std::string& why_not);
    void read_tile(const std::uint8_t* records, std::size_t stride, std::size_t count, double* out);
    double word(const std::uint8_t* record);
    void leave_out_infinite(std::span<double> numbers);

    Kind kind_;
    const ChannelPlan* plan_;
    NumberField field_;
    NumberReader reader_ = nullptr;
    Scaling scaling_;
    bool convert_ = false;  // by a table or formula, sample by sample, as soon as it is read
    std::optional<NumberField> length_ = {};
    std::size_t bytes_ = 0;  // of a word, at most
    struct Bit {
        std::size_t byte = 0;
        std::uint8_t mask = 0;
    };
    std::optional<Bit> invalid_ = {}, invalid_apart_ = {};
};

}  // namespace revwright::mdf4
