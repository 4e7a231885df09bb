#include "model/log.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace revwright {

std::vector<std::string> words_in(const Channel& channel, std::size_t most) {
    std::vector<std::string> words;
    std::vector<bool> seen(channel.texts.size());
    for (const double value : channel.values) {
        if (std::isnan(value) || seen[static_cast<std::size_t>(value)]) continue;
        if (words.size() == most) break;
        seen[static_cast<std::size_t>(value)] = true;
        words.push_back(channel.texts[static_cast<std::size_t>(value)]);
    }
    return words;
}

const Channel* Log::find(ChannelKey key) const {
    const auto found = std::ranges::find_if(channels, [&](const Channel& channel) { return channel.key == key; });
    return found == channels.end() ? nullptr : &*found;
}

Series Log::series(const Channel& channel) const { return {time_bases[channel.time_base].seconds, channel.values}; }

Log::Span Log::span() const {
    Span whole{std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    for (const TimeBase& base : time_bases) {
        if (base.seconds.empty()) continue;
        whole.start_s = std::min(whole.start_s, base.seconds.front());
        whole.end_s = std::max(whole.end_s, base.seconds.back());
    }
    return whole.start_s <= whole.end_s ? whole : Span{0.0, 0.0};
}

}  // namespace revwright
