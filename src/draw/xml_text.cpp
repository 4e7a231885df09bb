#include <cstdint>

#include "draw/svg.h"

namespace revwright::draw {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";  // U+FFFD

/// Bytes of the UTF-8 character that `text` begins with, 0 where it begins with none that XML allows.
std::size_t character_length(std::string_view text) {
    const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
    const std::uint8_t first = byte(0);
    if (first < 0x80) return first >= 0x20 || first == '\t' || first == '\n' || first == '\r' ? 1 : 0;
    const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (first < 0xC2 || first > 0xF4 || text.size() < length) return 0;
    std::uint32_t code = first & (0xFFU >> (length + 1));
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(i) & 0xC0U) != 0x80U) return 0;
        code = code << 6U | (byte(i) & 0x3FU);
    }
    constexpr std::uint32_t kLeast[] = {0, 0, 0x80, 0x800, 0x10000};
    const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
    const bool allowed = code >= kLeast[length] && code <= 0x10FFFF && !surrogate && code != 0xFFFE && code != 0xFFFF;
    return allowed ? length : 0;
}

std::string_view escape_of(char c) {
    switch (c) {
        case '&':
            return "&amp;";
        case '<':
            return "&lt;";
        case '>':
            return "&gt;";
        case '"':
            return "&quot;";
        case '\'':
            return "&#39;";
        default:
            return {};
    }
}

}  // namespace

std::string xml_text(std::string_view text) {
    std::string escaped;
    while (!text.empty()) {
        const std::size_t length = character_length(text);
        const std::string_view escape = escape_of(text.front());
        if (length == 0)
            escaped += kReplacement;
        else if (!escape.empty())
            escaped += escape;
        else
            escaped += text.substr(0, length);
        text.remove_prefix(length == 0 ? 1 : length);
    }
    return escaped;
}

}  // namespace revwright::draw
