#include "formats/csv/number.h"

#include <algorithm>
#include <cmath>
#include <fast_float/fast_float.h>
#include <string>

namespace revwright::csv {
namespace {

std::string_view without_plus(std::string_view text) { return text.starts_with('+') ? text.substr(1) : text; }

}  // namespace

std::optional<double> exact_number(std::string_view digits, char decimal) {
    digits = without_plus(digits);
    double value = 0.0;
    const fast_float::parse_options options(fast_float::chars_format::general, decimal);
    const auto [end, error] =
        fast_float::from_chars_advanced(digits.data(), digits.data() + digits.size(), value, options);
    // Too small reads as zero or the nearest subnormal, whatever this version of the library calls it.
    if (end != digits.data() + digits.size() || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::optional<double> whole_number(std::string_view text, char decimal) {
    if (text.empty()) return std::nullopt;
    const std::string ended = std::string(text) + '\n';
    double value = 0.0;
    const char* end = scan_number(ended.data(), decimal, value);
    if (end != ended.data() + text.size()) return std::nullopt;
    return value;
}

bool stands_for_infinity(std::string_view text, char decimal) {
    text = without_plus(text);
    if (text.starts_with('-')) text.remove_prefix(1);
    std::string lower(text);
    std::ranges::transform(lower, lower.begin(),
                           [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
    if (lower == "inf" || lower == "infinity") return true;
    if (text.empty() || (text.front() != decimal && (text.front() < '0' || text.front() > '9'))) return false;
    double value = 0.0;
    const fast_float::parse_options options(fast_float::chars_format::general, decimal);
    const auto result = fast_float::from_chars_advanced(text.data(), text.data() + text.size(), value, options);
    return result.ptr == text.data() + text.size() && std::isinf(value);
}

}  // namespace revwright::csv
