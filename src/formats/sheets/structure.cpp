#include "formats/sheets/structure.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright::sheets {
namespace {

constexpr std::size_t kMaxBytes = 1u << 20;
constexpr std::size_t kMaxParts = 32;
constexpr std::size_t kMaxDots = 20000;

Place place_of(std::string_view text, std::size_t offset, const std::string& file) {
    Place place{file, 1, 1};
    for (const char c : text.substr(0, offset)) {
        if (c == '\n') {
            ++place.line;
            place.column = 1;
        } else if ((static_cast<unsigned char>(c) & 0xC0u) != 0x80u) {
            ++place.column;  // columns count characters, not bytes
        }
    }
    return place;
}

/// The end of the quoted text that opens at `begin`. A text that is never closed ends with its line, or with the file
/// if it may span lines; the parser stops there too.
std::size_t end_of_text(std::string_view text, std::size_t begin) {
    const char quote = text[begin];
    const std::string_view three = quote == '"' ? "\"\"\"" : "'''";
    const bool lines = text.substr(begin).starts_with(three);
    std::size_t at = begin + (lines ? 3 : 1);
    while (at < text.size()) {
        if (quote == '"' && text[at] == '\\') {
            at += 2;
        } else if (!lines && (text[at] == quote || text[at] == '\n')) {
            return at + 1;
        } else if (lines && text.substr(at).starts_with(three)) {
            at += 3;
            // Up to two quotes before the closing three belong to the text.
            for (int extra = 0; extra < 2 && at < text.size() && text[at] == quote; ++extra) ++at;
            return at;
        } else {
            ++at;
        }
    }
    return text.size();
}

}  // namespace

std::optional<Error> check_structure(std::string_view text, const std::string& file) {
    const auto too_much = [&](std::string what, std::size_t offset) {
        return Error{Fault::bad_input, std::move(what), place_of(text, offset, file)};
    };
    if (text.size() > kMaxBytes)
        return Error{Fault::bad_input, fmt::format("a sheet has at most {} bytes, found {}", kMaxBytes, text.size()),
                     Place{file}};
    std::size_t dots_of_key = 0;
    std::size_t dots = 0;
    for (std::size_t at = 0; at < text.size();) {
        const char c = text[at];
        if (c == '"' || c == '\'') {
            at = end_of_text(text, at);
            continue;
        }
        if (c == '#') {
            at = std::min(text.find('\n', at), text.size());
            continue;
        }
        if (c == '.' && ++dots_of_key >= kMaxParts)
            return too_much(fmt::format("a key has at most {} parts, found more", kMaxParts), at);
        // Only '=' and ']' close a key; a number's own dot before a comma is none.
        if (c == '=' || c == ']') dots += dots_of_key;
        if (dots > kMaxDots) return too_much(fmt::format("keys hold at most {} dots in all, found more", kMaxDots), at);
        if (std::string_view("=,[]{}\n").contains(c)) dots_of_key = 0;
        ++at;
    }
    return std::nullopt;
}

}  // namespace revwright::sheets
