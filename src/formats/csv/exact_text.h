#pragma once

#include <cstddef>
#include <fmt/format.h>
#include <iterator>
#include <string>
#include <vector>

#include "core/error.h"
#include "model/log.h"

// For tests and fuzzing: two ways of reading must give the same, to the last bit and word.
namespace revwright::csv {

/// Everything that reading has brought, each number as its eight bytes: to be compared, not to be shown.
inline std::string exact_text(const Result<Log>& read) {
    if (!read) return describe(read.error());
    std::string text;
    const auto out = [&] { return std::back_inserter(text); };
    const auto numbers = [&](const std::vector<double>& values) {
        const std::size_t bytes = values.size() * sizeof(double);
        fmt::format_to(out(), " {}: ", values.size());
        if (bytes > 0) text.append(reinterpret_cast<const char*>(values.data()), bytes);
        text += '\n';
    };
    fmt::format_to(out(), "{} {}\n", read->file, read->format);
    for (const TimeBase& base : read->time_bases) numbers(base.seconds);
    for (const Channel& channel : read->channels) {
        fmt::format_to(out(), "{} [{}] [{}] @{}", channel.name, channel.unit_in_log, channel.unit, channel.time_base);
        numbers(channel.values);
    }
    for (const QualityNote& note : read->quality) {
        fmt::format_to(out(), "{}: {}", note.kind, note.text);
        numbers({note.start_s, note.end_s});
    }
    for (const std::string& lost : read->lost) text += lost + '\n';
    return text;
}

}  // namespace revwright::csv
