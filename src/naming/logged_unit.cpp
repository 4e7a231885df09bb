#include "naming/logged_unit.h"

#include <algorithm>
#include <array>

#include "core/unit.h"

namespace revwright {
namespace {

std::string lower(std::string_view text) {
    std::string low;
    for (const char c : text) low += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    return low;
}

std::string trimmed(std::string_view text) {
    constexpr std::string_view kAround = " ()[]";
    while (!text.empty() && kAround.contains(text.front())) text.remove_prefix(1);
    while (!text.empty() && kAround.contains(text.back())) text.remove_suffix(1);
    return std::string(text);
}

bool is_pressure_unit(std::string_view text) { return conversion(text, "kPa").has_value(); }

struct Ending {
    std::string_view text;
    Reference reference;
};

// Longest first, so that "gauge" goes before "g".
constexpr Ending kEndings[] = {
    {"gauge", Reference::gauge},  {"relative", Reference::gauge}, {"absolute", Reference::absolute},
    {"rel.", Reference::gauge},   {"abs.", Reference::absolute},  {"rel", Reference::gauge},
    {"abs", Reference::absolute}, {"\xC3\xBC", Reference::gauge}, {"\xC3\x9C", Reference::gauge},
    {"\xFC", Reference::gauge},   {"ue", Reference::gauge},       {"g", Reference::gauge},
    {"a", Reference::absolute},
};

constexpr std::array<std::string_view, 4> kAirFuel{"afr", "a/f", "air/fuel", ":1"};
constexpr std::array<std::string_view, 7> kPlain{"-", "--", "1", "..", "n/a", "none", "?"};

}  // namespace

LoggedUnit read_logged_unit(std::string_view text) {
    LoggedUnit read;
    const std::string unit = trimmed(text), low = lower(unit);
    if (unit.empty()) return read;
    if (std::ranges::count(kPlain, low) > 0) return {.plain = true};
    if (std::ranges::count(kAirFuel, low) > 0) return {.air_fuel_ratio = true};
    for (const Ending& ending : kEndings) {
        if (!low.ends_with(ending.text) || low.size() == ending.text.size()) continue;
        const std::string stem = trimmed(std::string_view(unit).substr(0, unit.size() - ending.text.size()));
        if (is_pressure_unit(stem)) return {.unit = stem, .reference = ending.reference};
    }
    if (!known_unit(unit)) return {.unreadable = true};
    read.unit = unit;
    return read;
}

}  // namespace revwright
