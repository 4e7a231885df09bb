#include "formats/mdf4/texts.h"

#include <algorithm>
#include <array>
#include <pugixml.hpp>
#include <string_view>

#include "core/utf8.h"

namespace revwright::mdf4 {
namespace {

constexpr std::size_t kLongestText = 64 * 1024;
constexpr std::size_t kLongestXml = 1024 * 1024;

std::string from_bytes(std::span<const std::uint8_t> bytes, bool utf8) {
    std::string text;
    while (!bytes.empty() && bytes[0] != 0) {
        const std::string_view rest(reinterpret_cast<const char*>(bytes.data()), bytes.size());
        const std::size_t length = utf8 || bytes[0] < 0x80 ? utf8_length(rest) : 0;
        if (length == 0)
            append_utf8(text, bytes[0]);
        else
            text.append(rest.substr(0, length));
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
        append_utf8(text, c);
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
