#pragma once

#include <cmath>
#include <gtest/gtest.h>
#include <string>
#include <string_view>
#include <vector>

#include "formats/csv/reader.h"

namespace revwright::csv {

inline Log log_of(std::string_view text) {
    auto log = read(text, "run.csv");
    EXPECT_TRUE(log) << describe(log.error()) << '\n' << text.substr(0, 400);
    return log ? *std::move(log) : Log{};
}

inline std::string refusal_of(std::string_view text) {
    const auto log = read(text, "run.csv");
    return log ? "read" : describe(log.error());
}

/// "1 2 - 3": one word a number, a dash for no sample.
inline std::string shown(const std::vector<double>& values) {
    std::string text;
    for (const double value : values) {
        char digits[32];
        std::snprintf(digits, sizeof digits, "%.10g", value);
        text += (text.empty() ? "" : " ") + std::string(std::isnan(value) ? "-" : digits);
    }
    return text;
}

/// "speed [rpm] @ 0 0.1: 1000 1100", one line a channel.
inline std::string shown(const Log& log) {
    std::string text;
    for (const Channel& channel : log.channels)
        text += channel.name + " [" + channel.unit_in_log + "] @ " + shown(log.time_bases[channel.time_base].seconds) +
                ": " + shown(channel.values) + "\n";
    return text;
}

/// "kind: text", one line a note.
inline std::string notes_of(const Log& log) {
    std::string text;
    for (const QualityNote& note : log.quality) text += note.kind + ": " + note.text + "\n";
    return text;
}

inline std::string lost_of(const Log& log) {
    std::string text;
    for (const std::string& lost : log.lost) text += lost + "\n";
    return text;
}

}  // namespace revwright::csv
