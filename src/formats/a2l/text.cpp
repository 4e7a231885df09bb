#include "formats/a2l/text.h"

#include <cstdint>
#include <cstring>
#include <fmt/format.h>

#include "core/utf8.h"

namespace revwright::a2l {
namespace {

unsigned byte_at(std::string_view bytes, std::size_t i) { return static_cast<unsigned char>(bytes[i]); }

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
        const std::size_t length = utf8_length(bytes.substr(i));
        if (length == 0) return false;
        i += length;
    }
    return true;
}

std::string utf8_of_latin1(std::string_view bytes) {
    std::string text;
    text.reserve(bytes.size() + bytes.size() / 16);
    for (const char c : bytes) append_utf8(text, static_cast<unsigned char>(c));
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
        append_utf8(text, code);
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
