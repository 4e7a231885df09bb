#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <set>
#include <string>

#include "naming/naming.h"

namespace {

using namespace revwright;

void must(bool holds) {
    if (!holds) __builtin_trap();
}

/// Channels from the bytes: a length and a name, a length and a unit, and samples of 8 bytes up to the next channel.
Log log_of(const std::uint8_t* data, std::size_t size) {
    Log log{.file = "fuzz.csv", .format = "csv", .time_bases = {{}}, .channels = {}};
    for (int i = 0; i < 40; ++i) log.time_bases[0].seconds.push_back(0.5 * i);
    std::size_t at = 0;
    const auto text = [&] {
        if (at >= size) return std::string();
        const std::size_t length = std::min<std::size_t>(data[at] % 48, size - at - 1);
        ++at;
        std::string made(reinterpret_cast<const char*>(data + at), length);
        at += length;
        return made;
    };
    while (at < size && log.channels.size() < 24) {
        Channel channel;
        channel.name = text(), channel.unit_in_log = text(), channel.unit = channel.unit_in_log;
        double from = 0.0, step = 0.0;
        if (size - at >= 16) std::memcpy(&from, data + at, 8), std::memcpy(&step, data + at + 8, 8), at += 16;
        for (int i = 0; i < 40; ++i) channel.values.push_back(from + step * (i % 9));
        log.channels.push_back(std::move(channel));
    }
    return log;
}

}  // namespace

// Whatever names, units and samples a log holds: naming refuses it or names each of our channels once at most, keeps
// the number of samples, and names it the same way twice.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const Log raw = log_of(data, size);
    const auto named = name_channels(raw, nullptr);
    if (!named) return 0;
    const auto again = name_channels(raw, nullptr);
    must(again.has_value());
    std::set<ChannelKey> keys;
    for (std::size_t i = 0; i < named->channels.size(); ++i) {
        const Channel& channel = named->channels[i];
        must(channel.values.size() == 40);
        must(channel.key == again->channels[i].key);
        if (channel.key) must(keys.insert(*channel.key).second && channel.candidates.empty());
        for (const std::string& candidate : channel.candidates) {
            const auto key = channel_key(candidate);
            must(key.has_value() && named->find(*key) == nullptr);
        }
        must(channel.candidates.empty() == channel.doubt.empty());
    }
    return 0;
}
