#include "formats/csv/time_name.h"

#include <algorithm>

#include "formats/csv/cells.h"
#include "formats/csv/header.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kLongestName = 64;     // bytes; longer text is prose
constexpr std::size_t kForgivingLength = 8;  // letters from which one may be wrong

// What loggers call the time, without blanks and marks. Without a unit it is in seconds.
constexpr std::string_view kTimeNames[] = {"time",
                                           "t",
                                           "timestamp",
                                           "zeit",
                                           "zeitstempel",
                                           "seconds",
                                           "messzeit",
                                           "laufzeit",
                                           "elapsedtime",
                                           "runtime",
                                           "engineruntime",
                                           "logtime",
                                           "recordtime",
                                           "relativetime",
                                           "timeofday",
                                           "uhrzeit",
                                           "clock",
                                           "datetime",
                                           "dateandtime",
                                           "datumzeit",
                                           "localtime",
                                           "timesincestart",
                                           "timesinceenginestart",
                                           "runtimesinceenginestart"};
constexpr std::string_view kDateNames[] = {"date", "datum"};
constexpr std::string_view kCounterNames[] = {"index",        "row",     "rowno",  "rownumber", "sample",   "sampleno",
                                              "samplenumber", "counter", "count",  "record",    "recordno", "no",
                                              "nr",           "#",       "number", "zeile",     "scan",     "lfdnr"};

std::string bare(std::string_view text) {
    std::string plain = lower(text);
    std::erase_if(plain, [](char c) { return std::string_view(" _-./").contains(c); });
    return plain;
}

bool one_letter_off(std::string_view a, std::string_view b) {
    if (a.size() != b.size() || a.size() < kForgivingLength) return false;
    std::size_t off = 0;
    for (std::size_t i = 0; i < a.size(); ++i) off += a[i] != b[i] ? 1 : 0;
    return off == 1;
}

/// The word for time that the bare text is; empty where it is none.
std::string_view time_word(std::string_view text) {
    const auto* exact = std::ranges::find(kTimeNames, text);
    if (exact != std::end(kTimeNames)) return *exact;
    const auto* near = std::ranges::find_if(kTimeNames, [&](std::string_view n) { return one_letter_off(text, n); });
    return near != std::end(kTimeNames) ? *near : std::string_view{};
}

/// "a", "12", "group3": what tells one clock of a file from the next.
bool is_label(std::string_view text) {
    for (const std::string_view word : {"group", "gruppe", "raster"})
        if (text.starts_with(word)) text.remove_prefix(word.size());
    if (text.size() == 1 && text[0] >= 'a' && text[0] <= 'z') return true;
    return !text.empty() && text.size() <= 3 && std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
}

/// "Time A", "time_2", "Time (group 3)", "Time[1]": the word before the label; empty where it is none.
std::string_view labelled_word(std::string_view name) {
    std::string low = lower(name);
    std::erase_if(low, [](char c) { return std::string_view("()[]#").contains(c); });
    const std::string text = bare(low);
    for (const std::string_view word : kTimeNames)
        if (word.size() >= 4 && text.starts_with(word) && is_label(std::string_view(text).substr(word.size())))
            return word;
    return {};
}

/// "Time rpm" and "rpm time" before a column "rpm".
std::string_view word_beside(const std::string& name, std::string_view name_behind) {
    const std::string behind = bare(name_behind);
    if (behind.empty()) return {};
    for (const std::string_view word : {"time", "zeit", "timestamp", "zeitstempel", "t"})
        if (name == behind + std::string(word) || name == std::string(word) + behind) return word;
    return {};
}

}  // namespace

TimeName time_name(std::string_view column_name, std::string_view name_behind) {
    if (column_name.size() > kLongestName) return {};
    const std::string name = bare(column_name);
    if (const std::string_view word = time_word(name); !word.empty()) return {true, false, std::string(word)};
    const std::string low = lower(column_name);
    if (const std::size_t bar = low.rfind('_'); bar != std::string::npos)
        for (const std::string_view unit : {"s", "ms", "us", "min"})
            if (const std::string_view word = time_word(bare(low.substr(0, bar)));
                !word.empty() && low.substr(bar + 1) == unit)
                return {true, false, std::string(word), unit};
    if (const std::string_view word = labelled_word(column_name); !word.empty())
        return {true, false, std::string(word)};
    if (const std::string_view word = word_beside(name, name_behind); !word.empty())
        return {true, false, std::string(word)};
    if (std::ranges::find(kDateNames, name) != std::end(kDateNames)) return {false, true, name};
    return {};
}

bool names_a_counter(std::string_view name) {
    return name.size() <= kLongestName && std::ranges::find(kCounterNames, bare(name)) != std::end(kCounterNames);
}

bool names_time(std::string_view cell) {
    // Most cells that are asked about are numbers split by the wrong delimiter: no word for time is without a letter.
    const auto is_letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
    if (std::ranges::none_of(cell, is_letter)) return false;
    return cell.size() <= 2 * kLongestName && time_name(name_and_unit(cell_text(cell)).name).is_time;
}

}  // namespace revwright::csv
