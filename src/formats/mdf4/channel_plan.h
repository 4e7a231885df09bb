#pragma once

#include "formats/mdf4/plan.h"

namespace revwright::mdf4 {

/// Reads the CN blocks of one group into its plan: members of structures as parent.member, elements of small arrays as
/// name[i]. What is left out is said.
class ChannelReader {
public:
    ChannelReader(Blocks& blocks, Texts& texts, Conversions& conversions, Lost& lost, GroupPlan& group)
        : blocks_(blocks), texts_(texts), conversions_(conversions), lost_(lost), group_(group) {}
    Result<void> read(std::uint64_t first) { return chain(first, "", 0); }

private:
    Result<void> chain(std::uint64_t first, const std::string& parent, int depth);
    Result<ChannelPlan> channel(const Block& block, const std::string& parent);
    Result<void> add(ChannelPlan channel, std::uint64_t composition, int depth);
    Result<void> add_array(const ChannelPlan& channel, std::uint64_t array, int depth);

    Blocks& blocks_;
    Texts& texts_;
    Conversions& conversions_;
    Lost& lost_;
    GroupPlan& group_;
};

}  // namespace revwright::mdf4
