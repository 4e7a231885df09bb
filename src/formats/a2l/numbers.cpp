#include "formats/a2l/numbers.h"

#include <charconv>
#include <cmath>
#include <system_error>

namespace revwright::a2l {
namespace {

template <class Number, class... Form>
std::optional<Number> all_of(std::string_view word, Form... form) {
    Number number = 0;
    const char* const end = word.data() + word.size();
    const auto read = std::from_chars(word.data(), end, number, form...);
    if (read.ec != std::errc() || read.ptr != end) return std::nullopt;
    return number;
}

bool is_hexadecimal(std::string_view word) {
    return word.size() > 2 && word[0] == '0' && (word[1] == 'x' || word[1] == 'X');
}

}  // namespace

std::optional<double> number_of(std::string_view word) {
    if (is_hexadecimal(word)) {
        const auto whole = all_of<std::uint64_t>(word.substr(2), 16);
        return whole ? std::optional(static_cast<double>(*whole)) : std::nullopt;
    }
    const bool plus = word.starts_with('+');
    if (plus) word.remove_prefix(1);
    const std::size_t first = !plus && word.starts_with('-') ? 1 : 0;
    if (word.size() <= first || !((word[first] >= '0' && word[first] <= '9') || word[first] == '.'))
        return std::nullopt;
    const auto number = all_of<double>(word);
    return number && std::isfinite(*number) ? number : std::nullopt;
}

std::optional<std::uint64_t> whole_of(std::string_view word) {
    if (is_hexadecimal(word)) return all_of<std::uint64_t>(word.substr(2), 16);
    if (const auto whole = all_of<std::uint64_t>(word, 10)) return whole;
    const auto number = number_of(word);
    constexpr double kExact = 9007199254740992.0;  // 2^53: above it a double does not tell whole numbers apart
    if (!number || *number < 0.0 || *number > kExact || *number != std::floor(*number)) return std::nullopt;
    return static_cast<std::uint64_t>(*number);
}

}  // namespace revwright::a2l
