#pragma once

#include <optional>
#include <vector>

#include "formats/mdf4/budget.h"
#include "formats/mdf4/column.h"
#include "formats/mdf4/lost.h"

namespace revwright::mdf4 {

/// Turns the records of one channel group into columns, tile by tile.
class GroupDecoder {
public:
    /// `apart`: invalidation bytes stand apart from the records. What cannot be read is said.
    GroupDecoder(const GroupPlan& group, bool apart, Budget& budget, Lost& lost);

    /// To be called before the first record. False where so many cost more than the budget leaves: then none are taken,
    /// which is said.
    bool expect(std::uint64_t rows);
    /// Records one behind the other; those beyond the expected ones are left.
    void take(const std::uint8_t* records, std::size_t stride, std::size_t count);
    void take_invalid(const std::uint8_t* bytes, std::size_t count);
    /// Virtual channels get as many samples as there are records; `rows` counts where the records have no bytes.
    void close(std::uint64_t rows_without_bytes);

    const GroupPlan& plan() const { return *plan_; }
    std::size_t rows() const { return rows_; }
    /// It was said that none of its records are taken.
    bool refused() const { return refused_; }
    std::vector<Column> columns;
    std::optional<std::size_t> time_column() const;

private:
    const GroupPlan* plan_;
    Budget* budget_;
    Lost* lost_;
    std::size_t rows_ = 0, invalid_rows_ = 0;
    std::uint64_t expected_ = 0;
    bool refused_ = false;
};

}  // namespace revwright::mdf4
