#include "formats/csv/odd_cell.h"

#include <algorithm>

#include "core/unit.h"
#include "formats/csv/cells.h"
#include "formats/csv/number.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kLongest = 64;  // bytes; longer text is prose

constexpr std::string_view kYes[] = {"on", "true", "yes", "ein", "ja", "wahr"};
constexpr std::string_view kNo[] = {"off", "false", "no", "aus", "nein", "falsch"};

constexpr std::string_view kPlaceholders[] = {"-", "--", "---", "n/a", "na", "nan", "null", "none", "?"};

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// What stands between thousands: a comma or point, an apostrophe, a blank of any width (plain, no-break, narrow).
constexpr std::string_view kMarks[] = {",", ".", "'", " ", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x99"};

}  // namespace

bool is_unit(std::string_view text) {
    constexpr std::string_view kGauge = " gauge";
    if (known_unit(text)) return true;
    return text.ends_with(kGauge) && known_unit(text.substr(0, text.size() - kGauge.size()));
}

bool same_unit(std::string_view a, std::string_view b) {
    if (a == b) return true;
    const auto between = conversion(a, b);
    return between && between->is_identity();
}

std::optional<NumberWithUnit> number_with_unit(std::string_view text, char decimal) {
    if (text.size() < 2 || text.size() > kLongest) return std::nullopt;
    if (!is_digit(text.front()) && !std::string_view("+-.,").contains(text.front())) return std::nullopt;
    const std::string ended = std::string(text) + '\n';
    NumberWithUnit found;
    const char* const end = scan_number(ended.data(), decimal, found.value);
    if (end == ended.data()) return std::nullopt;
    const std::string_view rest = trim(text.substr(static_cast<std::size_t>(end - ended.data())));
    const bool more_number = !rest.empty() && !rest.starts_with("1/") &&
                             (is_digit(rest.front()) || std::string_view("+-.,;/\t").contains(rest.front()));
    if (rest.empty() || more_number) return std::nullopt;
    found.unit = cell_text(rest);
    found.written = std::string(rest);
    if (!is_unit(found.unit)) return std::nullopt;
    return found;
}

bool is_placeholder(std::string_view text) {
    if (text.empty() || text.size() > 4) return text.empty();
    if (is_digit(text.front())) return false;
    const std::string word = lower(text);
    return std::ranges::find(kPlaceholders, word) != std::end(kPlaceholders);
}

std::optional<double> yes_or_no(std::string_view text) {
    if (text.size() < 2 || text.size() > 6) return std::nullopt;
    const std::string word = lower(text);
    if (std::ranges::find(kYes, word) != std::end(kYes)) return 1.0;
    if (std::ranges::find(kNo, word) != std::end(kNo)) return 0.0;
    return std::nullopt;
}

std::optional<double> hexadecimal(std::string_view text) {
    if (text.size() < 3 || text.size() > 15 || text[0] != '0' || (text[1] | 0x20) != 'x') return std::nullopt;
    double value = 0.0;
    for (const char c : text.substr(2)) {
        const char low = static_cast<char>(c | 0x20);
        if (is_digit(c))
            value = value * 16.0 + (c - '0');
        else if (low >= 'a' && low <= 'f')
            value = value * 16.0 + (low - 'a' + 10);
        else
            return std::nullopt;
    }
    return value;
}

std::optional<GroupedNumber> grouped_number(std::string_view text, char decimal) {
    if (text.size() < 5 || text.size() > kLongest) return std::nullopt;
    std::string plain;
    if (text.front() == '-' || text.front() == '+') {
        plain += text.front();
        text.remove_prefix(1);
    }
    const auto digits_at = [&](std::size_t i) {
        std::size_t count = 0;
        while (i + count < text.size() && is_digit(text[i + count])) ++count;
        return count;
    };
    std::size_t at = digits_at(0);
    if (at == 0 || at > 3 || text.front() == '0') return std::nullopt;
    plain += text.substr(0, at);
    const auto* mark = std::ranges::find_if(kMarks, [&](std::string_view m) { return text.substr(at).starts_with(m); });
    if (mark == std::end(kMarks) || mark->front() == decimal) return std::nullopt;
    std::size_t groups = 0;
    while (text.substr(at).starts_with(*mark)) {
        at += mark->size();
        if (digits_at(at) != 3) return std::nullopt;
        plain += text.substr(at, 3);
        at += 3;
        ++groups;
    }
    const bool has_decimals = at < text.size() && text[at] == decimal;
    plain += text.substr(at);
    const auto value = whole_number(plain, decimal);
    if (!value) return std::nullopt;
    const bool either = *mark == "," || *mark == ".";
    return GroupedNumber{*value, mark->front(), !either || groups > 1 || has_decimals};
}

}  // namespace revwright::csv
