#include "formats/mdf4/plan.h"

#include <algorithm>
#include <fmt/format.h>

#include "formats/mdf4/channel_plan.h"

namespace revwright::mdf4 {
namespace {

/// Flags of a channel group. Source: ASAM MDF 4.2, block CG.
constexpr std::uint16_t kVlsdGroup = 1, kBusEvent = 2, kRemoteMaster = 8, kEventSignal = 16;

class PlanReader {
public:
    PlanReader(Blocks& blocks, Texts& texts, Conversions& conversions, Lost& lost)
        : blocks_(blocks), texts_(texts), conversions_(conversions), lost_(lost) {}

    Result<std::vector<DataGroupPlan>> run() {
        const auto header = blocks_.take(64, {.id = "HD", .links = 6, .data_bytes = 31});
        if (!header) return tl::unexpected(header.error());
        std::vector<DataGroupPlan> plan;
        for (std::uint64_t at = header->link(0); at != 0;) {
            if (stops_here(at, "further data groups")) break;
            const auto block = blocks_.take(at, {.id = "DG", .links = 4, .data_bytes = 1});
            if (!block) return tl::unexpected(block.error());
            auto group = data_group(*block);
            if (!group) return tl::unexpected(std::move(group.error()));
            plan.push_back(std::move(*group));
            at = block->link(0);
        }
        return plan;
    }

private:
    bool stops_here(std::uint64_t at, const std::string& what) {
        if (blocks_.cut(at)) {
            lost_.cut(fmt::format("{} lie at byte {}, behind the end of the file", what, at));
            return true;
        }
        if (blocks_.id_at(at) != "GD") return false;
        lost_.add(fmt::format("{} are guarded against readers of MDF 4.2 (byte {})", what, at));
        return true;
    }

    Result<DataGroupPlan> data_group(const Block& block) {
        DataGroupPlan plan{.at = block.at, .data = block.link(2), .id_bytes = block.field<std::uint8_t>(0)};
        if (plan.id_bytes > 8 || (plan.id_bytes & (plan.id_bytes - 1)) != 0)
            return blocks_.refused(
                block.at, fmt::format("expected record ids of 0, 1, 2, 4 or 8 bytes, found {}", plan.id_bytes));
        for (std::uint64_t at = block.link(1); at != 0;) {
            if (stops_here(at, "further channel groups")) break;
            const auto next = blocks_.take(at, {.id = "CG", .links = 6, .data_bytes = 32});
            if (!next) return tl::unexpected(next.error());
            auto group = channel_group(*next);
            if (!group) return tl::unexpected(std::move(group.error()));
            plan.groups.push_back(std::move(*group));
            at = next->link(0);
        }
        return plan;
    }

    Result<GroupPlan> channel_group(const Block& block) {
        const auto name = texts_.at(block.link(2));
        if (!name) return tl::unexpected(name.error());
        const auto flags = block.field<std::uint16_t>(16);
        GroupPlan group{.at = block.at,
                        .index = groups_++,
                        .name = (*name)->substr(0, 256),
                        .record_id = block.field<std::uint64_t>(0),
                        .cycles = block.field<std::uint64_t>(8),
                        .vlsd = (flags & kVlsdGroup) != 0,
                        .data_bytes = block.field<std::uint32_t>(24),
                        .invalidation_bytes = block.field<std::uint32_t>(28),
                        .master = (flags & kRemoteMaster) != 0 ? block.link(6) : 0};
        if (group.vlsd) return group;
        ChannelReader reader(blocks_, texts_, conversions_, lost_, group);
        if (auto read_in = reader.read(block.link(1)); !read_in) return tl::unexpected(std::move(read_in.error()));
        group.skipped = (flags & (kBusEvent | kEventSignal)) != 0;
        if (group.skipped) group.channels.clear();
        if (group.skipped && group.cycles > 0)
            lost_.add(fmt::format("{} holds {}, which are not decoded", group.label(),
                                  (flags & kBusEvent) != 0 ? "messages of a bus" : "events"));
        return group;
    }

    Blocks& blocks_;
    Texts& texts_;
    Conversions& conversions_;
    Lost& lost_;
    std::size_t groups_ = 0;
};

}  // namespace

std::string GroupPlan::label() const {
    return name.empty() ? fmt::format("group {}", index) : fmt::format("group {} ({})", index, name);
}

Result<std::vector<DataGroupPlan>> read_plan(Blocks& blocks, Texts& texts, Conversions& conversions, Lost& lost) {
    return PlanReader(blocks, texts, conversions, lost).run();
}

}  // namespace revwright::mdf4
