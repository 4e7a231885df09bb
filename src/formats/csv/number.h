#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace revwright::csv {

/// Powers of ten that a double holds exactly.
inline constexpr double kExactPowers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                          1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

/// The correctly rounded value of a number of any length; nothing where it is beyond the range of a double.
std::optional<double> exact_number(std::string_view digits, char decimal);

/// Reads the number that starts at p: sign, digits, decimal mark, exponent. Returns where it ends, or p where there is
/// none (or none that a double can hold). The caller vouches that a byte that is no part of a number follows, as the
/// line end does; nothing past it is read.
///
/// Most cells take the short way: up to 15 digits and a power of ten up to 22 are both exact in a double, so that one
/// multiplication or division rounds correctly [Clinger1990].
inline const char* scan_number(const char* p, char decimal, double& value) {
    constexpr std::uint64_t kExactMantissa = 1'000'000'000'000'000;  // below: at most 15 digits
    constexpr int kMostDigits = 18;                                  // more might not fit the mantissa
    const char* const start = p;
    const bool negative = *p == '-';
    if (negative || *p == '+') ++p;
    std::uint64_t mantissa = 0;
    const char* const first = p;
    for (unsigned digit; (digit = static_cast<unsigned>(*p) - '0') < 10; ++p) mantissa = mantissa * 10 + digit;
    auto digits = p - first;
    int power = 0;
    if (*p == decimal) {
        const char* const fraction = ++p;
        for (unsigned digit; (digit = static_cast<unsigned>(*p) - '0') < 10; ++p) mantissa = mantissa * 10 + digit;
        digits += p - fraction;
        power = static_cast<int>(fraction - p);
    }
    if (digits == 0) return start;
    if ((*p | 0x20) == 'e') {
        const char* e = p + 1;
        const bool down = *e == '-';
        if (down || *e == '+') ++e;
        if (static_cast<unsigned>(*e) - '0' < 10) {
            int exponent = 0;
            for (unsigned digit; (digit = static_cast<unsigned>(*e) - '0') < 10; ++e)
                if (exponent < 100'000) exponent = exponent * 10 + static_cast<int>(digit);
            power += down ? -exponent : exponent;
            p = e;
        }
    }
    if (digits <= kMostDigits && mantissa < kExactMantissa && power >= -22 && power <= 22) [[likely]] {
        const double whole = static_cast<double>(mantissa);
        const double size = power < 0 ? whole / kExactPowers[-power] : whole * kExactPowers[power];
        value = negative ? -size : size;
        return p;
    }
    const auto exact = exact_number({start, static_cast<std::size_t>(p - start)}, decimal);
    if (!exact) return start;
    value = *exact;
    return p;
}

/// Whether the text is digits with at most one decimal mark among them, as most cells are: a number and nothing else.
inline bool is_plain_number(std::string_view text, char decimal) {
    constexpr std::size_t kLongest = 15;  // digits that a double holds exactly
    if (text.starts_with('-')) text.remove_prefix(1);
    if (text.empty() || text.size() > kLongest || text.front() == decimal || text.back() == decimal) return false;
    bool marked = false;
    for (const char c : text) {
        if (c == decimal && !marked)
            marked = true;
        else if (c < '0' || c > '9')
            return false;
    }
    return true;
}

/// The whole of `text` as a number; nothing where anything else is in it or it is beyond a double.
std::optional<double> whole_number(std::string_view text, char decimal);

/// Says of a text that is no number whether it stands for one that is not finite: "inf", "-Infinity", "1e999".
bool stands_for_infinity(std::string_view text, char decimal);

}  // namespace revwright::csv
