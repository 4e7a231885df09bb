#include "formats/a2l/text.h"

#include <cstdint>
#include <cstring>
#include <fmt/format.h>

namespace revwright::a2l {
namespace {

unsigned byte_at(std::string_view bytes, std::size_t i) { return static_cast<unsigned char>(bytes[i]); }

void append(std::string& text, std::uint32_t code) {
    const auto put = [&](std::uint32_t byte) { text += static_cast<char>(byte); };
    if (code < 0x80) return put(code);
    if (code < 0x800) {
        put(0xC0 | code >> 6);
    } else {
        if (code < 0x10000) {
            put(0xE0 | code >> 12);
        } else {
            put(0xF0 | code >> 18);
            put(0x80 | (code >> 12 & 0x3F));
        }
        put(0x80 | (code >> 6 & 0x3F));
    }
    put(0x80 | (code & 0x3F));
}

/// How many bytes the character at `i` takes in UTF-8; 0 where it is none. Overlong forms and halves of surrogate pairs
/// are none (RFC 3629).
std::size_t character(std::string_view bytes, std::size_t i) {
    const unsigned first = byte_at(bytes, i);
    const std::size_t length = first < 0x80   ? 1
                               : first < 0xC2 ? 0
                               : first < 0xE0 ? 2
                               : first < 0xF0 ? 3
                               : first < 0xF5 ? 4
                                              : 0;
    if (length == 0 || bytes.size() - i < length) return 0;
    for (std::size_t k = 1; k < length; ++k)
        if ((byte_at(bytes, i + k) & 0xC0) != 0x80) return 0;
    if (length < 3) return length;
    const unsigned second = byte_at(bytes, i + 1);
    const bool wrong = (first == 0xE0 && second < 0xA0) || (first == 0xED && second > 0x9F) ||
                       (first == 0xF0 && second < 0x90) || (first == 0xF4 && second > 0x8F);
    return wrong ? 0 : length;
}

bool is_utf8(std::string_view bytes) {
    for (std::size_t i = 0; i < bytes.size();) {
        std::uint64_t eight = 0;
        if (bytes.size() - i >= sizeof eight) {
            std::memcpy(&eight, bytes.data() + i, sizeof eight);
            if ((eight & 0x8080808080808080U) == 0) {
                i += sizeof eight;
                continue;
            }
        }
        const std::size_t length = character(bytes, i);
        if (length == 0) return false;
        i += length;
    }
    return true;
}

std::string utf8_of_latin1(std::string_view bytes) {
    std::string text;
    text.reserve(bytes.size() + bytes.size() / 16);
    for (const char c : bytes) append(text, static_cast<unsigned char>(c));
    return text;
}

enum class Order { none, little, big };

Order utf16_order(std::string_view bytes) {
    if (bytes.starts_with("\xFF\xFE")) return Order::little;
    if (bytes.starts_with("\xFE\xFF")) return Order::big;
    if (bytes.size() < 4) return Order::none;
    if (bytes[0] != 0 && bytes[1] == 0 && bytes[2] != 0 && bytes[3] == 0) return Order::little;
    if (bytes[0] == 0 && bytes[1] != 0 && bytes[2] == 0 && bytes[3] != 0) return Order::big;
    return Order::none;
}

Result<std::string> utf8_of_utf16(std::string_view bytes, Order order, const std::string& file) {
    const auto wrong = [&](std::size_t byte, std::string what) {
        return refuse(std::move(what), Place{.file = file, .byte = byte});
    };
    if (bytes.size() % 2 != 0) return wrong(bytes.size() - 1, "expected UTF-16, found half a character at the end");
    const auto unit = [&](std::size_t i) {
        const unsigned low = byte_at(bytes, order == Order::little ? i : i + 1);
        return low | byte_at(bytes, order == Order::little ? i + 1 : i) << 8;
    };
    std::string text;
    text.reserve(bytes.size() / 2 + 16);
    const std::size_t mark = unit(0) == 0xFEFF ? 2 : 0;
    for (std::size_t i = mark; i < bytes.size(); i += 2) {
        std::uint32_t code = unit(i);
        if (code == 0) return wrong(i, "expected text, found a zero character");
        if (code >= 0xD800 && code < 0xE000) {
            const std::uint32_t second = code < 0xDC00 && i + 2 < bytes.size() ? unit(i + 2) : 0;
            if (second < 0xDC00 || second >= 0xE000) return wrong(i, "expected UTF-16, found half of a surrogate pair");
            code = 0x10000 + ((code - 0xD800) << 10) + (second - 0xDC00);
            i += 2;
        }
        append(text, code);
    }
    return text;
}

}  // namespace

Result<std::optional<std::string>> utf8_of(std::string_view bytes, const std::string& file) {
    if (const Order order = utf16_order(bytes); order != Order::none) {
        auto text = utf8_of_utf16(bytes, order, file);
        if (!text) return tl::unexpected(text.error());
        return std::optional(std::move(*text));
    }
    if (const std::size_t zero = bytes.find('\0'); zero != std::string_view::npos)
        return refuse("expected text, found a zero byte", Place{.file = file, .byte = zero});
    if (is_utf8(bytes)) return std::nullopt;
    return std::optional(utf8_of_latin1(bytes));
}

}  // namespace revwright::a2l
