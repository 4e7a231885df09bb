#include "formats/csv/utf16.h"

#include <algorithm>
#include <fmt/format.h>

#include "core/utf8.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kLookAt = 512;  // bytes that tell the order where there is no mark

unsigned unit_at(std::string_view bytes, std::size_t i, Utf16 order) {
    const auto first = static_cast<unsigned char>(bytes[i]), second = static_cast<unsigned char>(bytes[i + 1]);
    return order == Utf16::little_endian ? first | (static_cast<unsigned>(second) << 8)
                                         : second | (static_cast<unsigned>(first) << 8);
}

}  // namespace

std::optional<Utf16> utf16_order(std::string_view bytes) {
    if (bytes.starts_with("\xFF\xFE")) return Utf16::little_endian;
    if (bytes.starts_with("\xFE\xFF")) return Utf16::big_endian;
    // Nearly all characters of a log are ASCII: one of their two bytes is zero, and always the same one.
    const std::size_t pairs = std::min(bytes.size(), kLookAt) / 2;
    std::size_t zero_first = 0, zero_second = 0;
    for (std::size_t i = 0; i < pairs; ++i) {
        zero_first += bytes[2 * i] == '\0' ? 1 : 0;
        zero_second += bytes[2 * i + 1] == '\0' ? 1 : 0;
    }
    if (pairs >= 4 && zero_first == 0 && 5 * zero_second >= 4 * pairs) return Utf16::little_endian;
    if (pairs >= 4 && zero_second == 0 && 5 * zero_first >= 4 * pairs) return Utf16::big_endian;
    return std::nullopt;
}

Result<std::string> utf8_of_utf16(std::string_view bytes, Utf16 order, const std::string& file) {
    const auto at = [&](std::size_t byte) { return Place{file, 0, 0, byte}; };
    if (bytes.size() % 2 != 0)
        return refuse(
            fmt::format("expected two bytes a character as in UTF-16, found an odd number of bytes, {}", bytes.size()),
            at(bytes.size() - 1));
    std::string text;
    text.reserve(bytes.size() / 2);
    for (std::size_t i = 0; i < bytes.size(); i += 2) {
        unsigned code = unit_at(bytes, i, order);
        if (code == 0) return refuse("expected text, found a zero character as in a binary file", at(i));
        if (code == 0xFEFF && i == 0) continue;
        if (code >= 0xD800 && code < 0xE000) {
            const unsigned low = i + 3 < bytes.size() ? unit_at(bytes, i + 2, order) : 0;
            if (code >= 0xDC00 || low < 0xDC00 || low >= 0xE000)
                return refuse("expected UTF-16 text, found half of a surrogate pair", at(i));
            code = 0x10000 + ((code - 0xD800) << 10) + (low - 0xDC00);
            i += 2;
        }
        append_utf8(text, code);
    }
    return text;
}

}  // namespace revwright::csv
