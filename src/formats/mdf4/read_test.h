#pragma once

#include <algorithm>
#include <cstdint>
#include <gtest/gtest.h>
#include <span>
#include <string>
#include <string_view>

#include "formats/mdf4/reader.h"

/// What the tests of this folder ask of a log.
namespace revwright::mdf4 {

inline Log log_of(std::span<const std::uint8_t> bytes) {
    auto log = read(bytes, "a.mf4");
    if (!log) {
        ADD_FAILURE() << describe(log.error());
        return {};
    }
    return *std::move(log);
}

inline const Channel& channel_of(const Log& log, std::string_view name) {
    const auto found = std::ranges::find(log.channels, name, &Channel::name);
    static const Channel kNone{.name = "none", .unit_in_log = "", .key = {}, .unit = "", .values = {0.0}};
    if (found != log.channels.end()) return *found;
    ADD_FAILURE() << "no channel " << name;
    return kNone;
}

/// The words of a channel one behind the other, "-" where there is none.
inline std::string words_of(const Channel& channel) {
    std::string words;
    for (const double value : channel.values) {
        const bool none = value != value || static_cast<std::size_t>(value) >= channel.texts.size();
        words += (words.empty() ? "" : " ") + (none ? "-" : channel.texts[static_cast<std::size_t>(value)]);
    }
    return words;
}

inline std::string lost_of(const Log& log) {
    std::string lost;
    for (const std::string& sentence : log.lost) lost += sentence + "\n";
    return lost;
}

inline std::string refusal_of(std::span<const std::uint8_t> bytes) {
    const auto log = read(bytes, "a.mf4");
    return log ? "read: " + lost_of(*log) : describe(log.error());
}

}  // namespace revwright::mdf4
