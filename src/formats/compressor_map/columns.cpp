#include "formats/compressor_map/columns.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright::compressor_csv {
namespace {

constexpr double kPoundsPerMinute = 132.2774;  // in 1 kg/s: 60 / 0.45359237

struct Suffix {
    std::string_view words;
    Quantity quantity;
    double factor;
};
constexpr Suffix kUnits[] = {
    {"rpm", Quantity::speed, 1.0},           {"krpm", Quantity::speed, 1000.0},
    {"1_min", Quantity::speed, 1.0},         {"kg_s", Quantity::flow, 1.0},
    {"g_s", Quantity::flow, 1e-3},           {"lb_min", Quantity::flow, 1.0 / kPoundsPerMinute},
    {"ratio", Quantity::ratio, 1.0},         {"pr", Quantity::ratio, 1.0},
    {"ratio_1", Quantity::ratio, 1.0},       {"efficiency", Quantity::efficiency, 1.0},
    {"eta", Quantity::efficiency, 1.0},      {"efficiency_pct", Quantity::efficiency, 0.01},
    {"eta_pct", Quantity::efficiency, 0.01}, {"efficiency_1", Quantity::efficiency, 1.0},
};

constexpr std::string_view kWanted[kQuantities] = {"a shaft speed (rpm or krpm)", "a flow (kg_s, g/s or lb/min)",
                                                   "a pressure_ratio", "an efficiency (of 1, or pct)"};

bool plain(char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'); }

/// "Flow [kg/s]" becomes "flow_kg_s": lower case words with one underscore between.
std::string words_of(std::string_view name) {
    std::string words;
    for (char c : name) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
        if (c == '%')
            words += words.empty() || words.back() == '_' ? "pct" : "_pct";
        else if (plain(c))
            words += c;
        else if (!words.empty() && words.back() != '_')
            words += '_';
    }
    while (!words.empty() && words.back() == '_') words.pop_back();
    return words;
}

const Suffix* match(std::string_view name) {
    const std::string words = words_of(name);
    const Suffix* best = nullptr;
    for (const Suffix& unit : kUnits) {
        if (!words.ends_with(unit.words)) continue;
        const std::size_t before = words.size() - unit.words.size();
        if (before > 0 && words[before - 1] != '_') continue;
        if (!best || unit.words.size() > best->words.size()) best = &unit;
    }
    return best;
}

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view kSpace = " \t\r\"";
    const auto first = text.find_first_not_of(kSpace);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(kSpace) - first + 1);
}

}  // namespace

std::vector<Cell> cut(std::string_view line, char delimiter) {
    std::vector<Cell> cells;
    std::size_t start = 0;
    while (true) {
        const std::size_t end = line.find(delimiter, start);
        cells.push_back({trimmed(line.substr(start, end - start)), start + 1});
        if (end == std::string_view::npos) return cells;
        start = end + 1;
    }
}

char delimiter_of(std::string_view header) {
    char best = ',';
    for (const char c : {';', '\t'})
        if (std::ranges::count(header, c) > std::ranges::count(header, best)) best = c;
    return best;
}

Result<Columns> find_columns(const std::vector<Cell>& header, const Place& at) {
    std::array<std::optional<Column>, kQuantities> found;
    for (std::size_t i = 0; i < header.size(); ++i) {
        const Suffix* unit = match(header[i].text);
        if (!unit) continue;
        const auto which = static_cast<std::size_t>(unit->quantity);
        if (found[which])
            return refuse(fmt::format("expected {} once, found it again as '{}'", kWanted[which], header[i].text),
                          Place{at.file, at.line, header[i].start});
        found[which] = Column{i, unit->factor};
    }
    Columns columns;
    for (std::size_t which = 0; which < kQuantities; ++which) {
        if (!found[which])
            return refuse(
                fmt::format("expected a column for {} in the header of a compressor map, found none", kWanted[which]),
                Place{at.file, at.line, 1});
        columns[which] = *found[which];
    }
    return columns;
}

}  // namespace revwright::compressor_csv
