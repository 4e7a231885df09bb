#pragma once

#include <string>
#include <vector>

#include "review/run_view.h"

namespace revwright {

/// The checks that rest on these channels, by their needs in the table, in its order. A channel that only stands in
/// for another one that is logged carries none.
std::vector<std::string> checks_resting_on(const RunView& run, const std::vector<ChannelKey>& channels);

/// Whether a check that must run rests on the channel: directly, or air flow and pressure, which tell it the probe's
/// delay and when the charge is there.
bool carries_required_check(const RunView& run, ChannelKey key);

/// ", so lambda-lean and lambda-follow can not be judged between 3,100 and 3,600 rpm"; empty where no check suffers.
std::string what_it_makes_impossible(const RunView& run, const ChannelFault& fault);

/// "a", "a and b", "a, b and c".
std::string in_words(const std::vector<std::string>& names);
std::string channel_names(const std::vector<ChannelKey>& channels);

}  // namespace revwright
