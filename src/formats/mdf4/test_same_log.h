#pragma once

#include <bit>
#include <cmath>
#include <cstdint>
#include <fmt/format.h>
#include <string>

#include "model/log.h"

/// For tests only.
namespace revwright::mdf4 {

/// What the sample is, words as words; "-" where there is none, which an empty word is too. Numbers bit for bit.
inline std::string told(const Channel& channel, double value) {
    if (!std::isfinite(value)) return "-";
    if (!channel.texts.empty()) {
        const std::string& word = channel.texts[static_cast<std::size_t>(value)];
        return word.empty() ? "-" : word;
    }
    return fmt::format("{} ({:x})", value, std::bit_cast<std::uint64_t>(value));
}

/// The first thing in which two logs differ that a file must keep: names, units, times, samples and who shares a group;
/// empty where they are the same. Group numbers are the file's own, and only their order counts.
inline std::string difference(const Log& a, const Log& b) {
    if (a.channels.size() != b.channels.size())
        return fmt::format("{} and {} channels", a.channels.size(), b.channels.size());
    for (std::size_t i = 0; i < a.channels.size(); ++i) {
        const Channel &x = a.channels[i], &y = b.channels[i];
        if (x.name != y.name || x.unit != y.unit)
            return fmt::format("channel {} [{}] and {} [{}]", x.name, x.unit, y.name, y.unit);
        const bool words = !x.texts.empty();
        const Series one = a.series(x), other = b.series(y);
        if (one.size() != other.size()) return fmt::format("{} and {} samples of {}", one.size(), other.size(), x.name);
        for (std::size_t j = 0; j < one.size(); ++j) {
            if (one.times[j] != other.times[j])
                return fmt::format("{}: time {} and {}", x.name, one.times[j], other.times[j]);
            const std::string is = told(x, one.values[j]), was = told(y, other.values[j]);
            if (is != was) return fmt::format("{}{}: {} and {}", x.name, words ? " (words)" : "", is, was);
        }
    }
    return "";
}

}  // namespace revwright::mdf4
