#include "formats/csv/cells.h"

#include <algorithm>

namespace revwright::csv {
namespace {

bool is_blank(char c) { return c == ' ' || c == '\t' || c == '\r'; }

/// Length of the UTF-8 sequence at the start, 0 if it is none.
std::size_t utf8_length(std::string_view text) {
    const auto lead = static_cast<unsigned char>(text.front());
    std::size_t length = 0;
    if (lead < 0x80)
        length = 1;
    else if (lead >= 0xC2 && lead < 0xE0)
        length = 2;
    else if (lead >= 0xE0 && lead < 0xF0)
        length = 3;
    else if (lead >= 0xF0 && lead < 0xF5)
        length = 4;
    if (length == 0 || length > text.size()) return 0;
    for (std::size_t i = 1; i < length; ++i)
        if ((static_cast<unsigned char>(text[i]) & 0xC0) != 0x80) return 0;
    if (lead == 0xE0 && static_cast<unsigned char>(text[1]) < 0xA0) return 0;   // overlong
    if (lead == 0xED && static_cast<unsigned char>(text[1]) >= 0xA0) return 0;  // surrogates
    if (lead == 0xF0 && static_cast<unsigned char>(text[1]) < 0x90) return 0;   // overlong
    if (lead == 0xF4 && static_cast<unsigned char>(text[1]) >= 0x90) return 0;  // beyond Unicode
    return length;
}

std::string in_utf8(std::string_view text) {
    std::string good;
    good.reserve(text.size());
    while (!text.empty()) {
        const std::size_t length = utf8_length(text);
        if (length == 0) {  // Latin-1: the byte is the code point
            const auto byte = static_cast<unsigned char>(text.front());
            good += static_cast<char>(0xC0 | (byte >> 6));
            good += static_cast<char>(0x80 | (byte & 0x3F));
        } else {
            good += text.substr(0, length);
        }
        text.remove_prefix(std::max<std::size_t>(length, 1));
    }
    return good;
}

}  // namespace

std::string_view trim(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
    return text;
}

bool Lines::next(Line& line) {
    if (rest_.empty()) return false;
    const std::size_t end = rest_.find('\n');
    line.ended = end != std::string_view::npos;
    line.text = rest_.substr(0, end);
    if (line.text.ends_with('\r')) line.text.remove_suffix(1);
    line.number = number_++;
    rest_.remove_prefix(line.ended ? end + 1 : rest_.size());
    return true;
}

std::size_t quoted_length(std::string_view text) {
    for (std::size_t i = 1; i < text.size(); ++i) {
        if (text[i] != '"') continue;
        if (i + 1 == text.size() || text[i + 1] != '"') return i + 1;
        ++i;  // a doubled quote stands for one
    }
    return 0;
}

std::vector<std::string_view> split(std::string_view line, char delimiter) {
    std::vector<std::string_view> cells;
    std::size_t begin = 0;
    while (true) {
        std::size_t look = begin;
        while (look < line.size() && line[look] == ' ') ++look;
        if (look < line.size() && line[look] == '"') {
            const std::size_t quoted = quoted_length(line.substr(look));
            look = quoted == 0 ? line.size() : look + quoted;
        }
        const std::size_t end = line.find(delimiter, look);
        cells.push_back(line.substr(begin, end == std::string_view::npos ? end : end - begin));
        if (end == std::string_view::npos) return cells;
        begin = end + 1;
    }
}

bool ends_in_quotes(std::string_view line, char delimiter) {
    const std::string_view last = trim(split(line, delimiter).back());
    return last.starts_with('"') && quoted_length(last) == 0;
}

std::string cell_text(std::string_view cell) {
    cell = trim(cell);
    if (cell.size() < 2 || cell.front() != '"' || cell.back() != '"') return in_utf8(cell);
    std::string text;
    for (std::size_t i = 1; i + 1 < cell.size(); ++i) {
        text += cell[i];
        if (cell[i] == '"' && cell[i + 1] == '"' && i + 2 < cell.size()) ++i;
    }
    return in_utf8(trim(text));
}

}  // namespace revwright::csv
