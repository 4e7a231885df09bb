#include "formats/mdf4/group_decoder.h"

#include <algorithm>
#include <fmt/format.h>
#include <limits>
#include <map>
#include <numeric>

namespace revwright::mdf4 {
namespace {

/// One sentence for all channels of a group that fail alike.
void tell(const std::map<std::string, std::vector<std::string>>& failed, const GroupPlan& group, Lost& lost) {
    for (const auto& [why, names] : failed) {
        std::string shown;
        for (std::size_t i = 0; i < std::min<std::size_t>(names.size(), 5); ++i)
            shown += (i == 0 ? "" : ", ") + names[i];
        if (names.size() > 5) shown += fmt::format(" and {} more", names.size() - 5);
        lost.add(names.size() == 1 ? fmt::format("channel {} of {} {}; it is left out", shown, group.label(), why)
                                   : fmt::format("each of these channels of {} {}; they are left out: {}",
                                                 group.label(), why, shown));
    }
}

}  // namespace

GroupDecoder::GroupDecoder(const GroupPlan& group, bool apart, Budget& budget, Lost& lost)
    : plan_(&group), budget_(&budget), lost_(&lost) {
    std::map<std::string, std::vector<std::string>> failed;
    for (const ChannelPlan& channel : group.channels) {
        std::string why_not;
        if (auto column = Column::make(channel, group, apart, budget.texts, why_not))
            columns.push_back(std::move(*column));
        else
            failed[why_not].push_back(channel.name);
    }
    tell(failed, group, lost);
}

bool GroupDecoder::expect(std::uint64_t rows) {
    const std::size_t each = sizeof(double) * std::max<std::size_t>(columns.size(), 1);
    const std::size_t work =
        std::accumulate(columns.begin(), columns.end(), std::size_t{1},
                        [](std::size_t sum, const Column& column) { return sum + column.work_per_sample(); });
    if (rows > budget_->samples / each || rows > budget_->work / work) {
        lost_->add(
            fmt::format("{} holds {} records of {} channels, more than a file of this size can mean; it is left out",
                        plan_->label(), rows, columns.size()));
        columns.clear();
        refused_ = true;
        return false;
    }
    budget_->samples -= rows * each;
    budget_->work -= rows * work;
    expected_ = rows;
    for (Column& column : columns) column.values.reserve(rows);
    return true;
}

void GroupDecoder::take(const std::uint8_t* records, std::size_t stride, std::size_t count) {
    count = std::min<std::uint64_t>(count, expected_ - rows_);
    const std::size_t tile = std::clamp<std::size_t>(kTileBytes / stride, 1, kTileRows);
    for (std::size_t done = 0; done < count; done += tile)
        for (Column& column : columns) column.take(records + done * stride, stride, std::min(tile, count - done));
    rows_ += count;
}

void GroupDecoder::take_invalid(const std::uint8_t* bytes, std::size_t count) {
    for (Column& column : columns) column.take_invalid(bytes, plan_->invalidation_bytes, invalid_rows_, count);
    invalid_rows_ += count;
}

void GroupDecoder::close(std::uint64_t rows_without_bytes) {
    if (plan_->record_bytes() == 0) rows_ = std::min<std::uint64_t>(rows_without_bytes, expected_);
    for (Column& column : columns)
        if (column.kind() == Column::Kind::row)
            column.fill(rows_);
        else  // a text of no bytes in records of no bytes is an empty one: no sample
            column.values.resize(rows_, std::numeric_limits<double>::quiet_NaN());
}

std::optional<std::size_t> GroupDecoder::time_column() const {
    for (std::size_t i = 0; i < columns.size(); ++i)
        if (columns[i].plan().is_time()) return i;
    return std::nullopt;
}

}  // namespace revwright::mdf4
