#include "formats/mdf4/texts.h"

#include <algorithm>
#include <array>
#include <pugixml.hpp>

namespace revwright::mdf4 {
namespace {

constexpr std::size_t kLongestText = 64 * 1024;
constexpr std::size_t kLongestXml = 1024 * 1024;

void append(std::string& text, char32_t c) {
    const auto tail = [&](unsigned shift) { text += static_cast<char>(0x80 | ((c >> shift) & 0x3F)); };
    if (c < 0x80) {
        text += static_cast<char>(c);
    } else if (c < 0x800) {
        text += static_cast<char>(0xC0 | (c >> 6));
        tail(0);
    } else if (c < 0x10000) {
        text += static_cast<char>(0xE0 | (c >> 12));
        tail(6), tail(0);
    } else {
        text += static_cast<char>(0xF0 | (c >> 18));
        tail(12), tail(6), tail(0);
    }
}

/// Bytes of the UTF-8 character that begins here; 0 where none does (RFC 3629).
std::size_t utf8_length(std::span<const std::uint8_t> rest) {
    const std::uint8_t first = rest[0];
    const std::size_t length = first < 0x80   ? 1
                               : first < 0xC2 ? 0
                               : first < 0xE0 ? 2
                               : first < 0xF0 ? 3
                               : first < 0xF5 ? 4
                                              : 0;
    if (length > rest.size()) return 0;
    for (std::size_t i = 1; i < length; ++i)
        if ((rest[i] & 0xC0) != 0x80) return 0;
    if (length == 3) {
        const unsigned c = (first & 0xFu) << 12 | (rest[1] & 0x3Fu) << 6;
        if (c < 0x800 || (c >= 0xD800 && c < 0xE000)) return 0;
    }
    if (length == 4 && ((first == 0xF0 && rest[1] < 0x90) || (first == 0xF4 && rest[1] > 0x8F))) return 0;
    return length;
}

std::string from_bytes(std::span<const std::uint8_t> bytes, bool utf8) {
    std::string text;
    while (!bytes.empty() && bytes[0] != 0) {
        const std::size_t length = utf8 || bytes[0] < 0x80 ? utf8_length(bytes) : 0;
        if (length == 0)
            append(text, bytes[0]);
        else
            text.append(reinterpret_cast<const char*>(bytes.data()), length);
        bytes = bytes.subspan(std::max<std::size_t>(length, 1));
    }
    return text;
}

std::string from_utf16(std::span<const std::uint8_t> bytes, bool big) {
    std::string text;
    const auto unit = [&](std::size_t i) {
        return static_cast<char32_t>(big ? bytes[i] << 8 | bytes[i + 1] : bytes[i + 1] << 8 | bytes[i]);
    };
    for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
        char32_t c = unit(i);
        if (c == 0) break;
        if (i == 0 && c == 0xFEFF) continue;
        if (c >= 0xD800 && c < 0xDC00 && i + 3 < bytes.size() && unit(i + 2) >= 0xDC00 && unit(i + 2) < 0xE000) {
            c = 0x10000 + ((c - 0xD800) << 10) + (unit(i + 2) - 0xDC00);
            i += 2;
        } else if (c >= 0xD800 && c < 0xE000) {
            c = 0xFFFD;
        }
        append(text, c);
    }
    return text;
}

/// What stands in the element TX of the comment, as the schemas of MD blocks have it.
std::string text_of_xml(std::span<const std::uint8_t> xml) {
    pugi::xml_document document;
    // What was parsed before a fault still counts: the text stands first in every schema.
    document.load_buffer(xml.data(), std::min(xml.size(), kLongestXml));
    return document.document_element().child("TX").text().get();
}

}  // namespace

std::string utf8_of(std::span<const std::uint8_t> bytes, Script script) {
    switch (script) {
        case Script::latin1:
            return from_bytes(bytes, false);
        case Script::utf8:
            return from_bytes(bytes, true);
        case Script::utf16:
            return from_utf16(bytes, false);
        case Script::utf16_big:
            return from_utf16(bytes, true);
    }
    return {};
}

Result<const std::string*> Texts::at(std::uint64_t link) {
    if (link == 0 || blocks_.cut(link)) return &none_;
    if (const auto found = known_.find(link); found != known_.end()) return found->second.get();
    const bool xml = blocks_.id_at(link) == "MD";
    const auto block = blocks_.share(link, {.id = xml ? "MD" : "TX"});
    if (!block) return tl::unexpected(block.error());
    auto bytes = block->data;
    if (const auto zero = std::ranges::find(bytes, std::uint8_t{0}); zero != bytes.end())
        bytes = bytes.first(static_cast<std::size_t>(zero - bytes.begin()));
    std::string text;
    if (xml) {
        text = text_of_xml(bytes);
        bytes = {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
    }
    text = utf8_of(bytes.first(std::min(bytes.size(), kLongestText)), Script::utf8);
    return known_.emplace(link, std::make_unique<const std::string>(std::move(text))).first->second.get();
}

}  // namespace revwright::mdf4
