#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace revwright {

/// Adds a character to a text in UTF-8. Source: RFC 3629. Precondition: a code point of Unicode.
inline void append_utf8(std::string& text, char32_t code) {
    const auto tail = [&](unsigned shift) { text += static_cast<char>(0x80 | ((code >> shift) & 0x3F)); };
    if (code < 0x80) {
        text += static_cast<char>(code);
    } else if (code < 0x800) {
        text += static_cast<char>(0xC0 | (code >> 6));
        tail(0);
    } else if (code < 0x10000) {
        text += static_cast<char>(0xE0 | (code >> 12));
        tail(6), tail(0);
    } else {
        text += static_cast<char>(0xF0 | (code >> 18));
        tail(12), tail(6), tail(0);
    }
}

/// How many bytes the UTF-8 character at the front takes; 0 where none begins there: overlong forms, halves of
/// surrogate pairs, what is cut short. Source: RFC 3629. Precondition: not empty.
inline std::size_t utf8_length(std::string_view text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned first = byte(0);
    const std::size_t length = first < 0x80   ? 1
                               : first < 0xC2 ? 0
                               : first < 0xE0 ? 2
                               : first < 0xF0 ? 3
                               : first < 0xF5 ? 4
                                              : 0;
    if (length > text.size()) return 0;
    for (std::size_t i = 1; i < length; ++i)
        if ((byte(i) & 0xC0) != 0x80) return 0;
    if (length < 3) return length;
    const bool wrong = (first == 0xE0 && byte(1) < 0xA0) || (first == 0xED && byte(1) > 0x9F) ||
                       (first == 0xF0 && byte(1) < 0x90) || (first == 0xF4 && byte(1) > 0x8F);
    return wrong ? 0 : length;
}

}  // namespace revwright
