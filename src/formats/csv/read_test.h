#pragma once

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <string>
#include <string_view>
#include <vector>

#include "formats/csv/exact_text.h"
#include "formats/csv/reader.h"

namespace revwright::csv {

/// Workers that take their tasks from the last to the first, so that whoever relies on their order is found out.
inline Workers backwards(std::size_t count) {
    return {count, [](std::size_t tasks, const Workers::Task& task) {
                for (std::size_t i = tasks; i-- > 0;) task(i);
            }};
}

/// Reads the text quickly, and, unless it is huge, holds that against the simple reader; one of up to 500 bytes
/// also cut at every place, a longer one at fewer.
inline Result<Log> read_every_way(std::string_view given) {
    // Nothing stands behind these bytes: a sanitizer sees whoever looks there.
    const std::vector<char> bytes(given.begin(), given.end());
    const std::string_view text(bytes.data(), bytes.size());
    auto log = read(text, "run.csv");
    constexpr std::size_t kHuge = 500'000;
    if (text.size() > kHuge) return log;
    const std::string simply = exact_text(read_simply(text, "run.csv"));
    EXPECT_TRUE(exact_text(log) == simply) << "not read as simply: " << text.substr(0, 4000);
    constexpr std::size_t kShort = 500;
    const std::size_t pieces = std::min(text.size(), kShort * kShort / (text.size() + 1));
    for (std::size_t piece = 1; piece <= pieces; ++piece) {
        const auto pieced = read_in_pieces(text, "run.csv", piece, backwards(1 + piece % 7));
        if (exact_text(pieced) == simply) continue;
        ADD_FAILURE() << "not read as simply in pieces of " << piece << " bytes: " << text.substr(0, 4000);
        break;
    }
    return log;
}

inline Log log_of(std::string_view text) {
    auto log = read_every_way(text);
    EXPECT_TRUE(log) << describe(log.error()) << '\n' << text.substr(0, 400);
    return log ? *std::move(log) : Log{};
}

inline std::string refusal_of(std::string_view text) {
    const auto log = read_every_way(text);
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
