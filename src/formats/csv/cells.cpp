#include "formats/csv/cells.h"

#include <algorithm>
#include <utility>

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

/// A line break in a quoted name, with the blanks around it, is one blank.
std::string in_one_line(std::string text) {
    for (std::size_t at = text.find('\n'); at != std::string::npos; at = text.find('\n', at)) {
        std::size_t begin = at, end = at + 1;
        while (begin > 0 && is_blank(text[begin - 1])) --begin;
        while (end < text.size() && (is_blank(text[end]) || text[end] == '\n')) ++end;
        text.replace(begin, end - begin, " ");
        at = begin + 1;
    }
    return text;
}

constexpr std::size_t kMostJoined = 64;  // physical lines that a quoted header may span
constexpr std::size_t kMostJoinedBytes = std::size_t{1} << 16;

/// Whether a quote that starts a cell is still open at the end of the text, whatever the delimiter.
bool quote_is_open(std::string_view text) {
    bool cell_starts = true;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '"' && cell_starts) {
            const std::size_t length = quoted_length(text.substr(i));
            if (length == 0) return true;
            i += length - 1;
            cell_starts = false;
        } else if (c == ',' || c == ';' || c == '\t') {
            cell_starts = true;
        } else if (c != ' ') {
            cell_starts = false;
        }
    }
    return false;
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

bool Lines::next_whole(Line& line) {
    if (!next(line)) return false;
    if (!line.ended || !quote_is_open(line.text)) return true;
    Lines ahead = *this;
    Line more;
    for (std::size_t joined = 1; joined < kMostJoined && ahead.next(more); ++joined) {
        const std::string_view whole(line.text.data(),
                                     static_cast<std::size_t>(more.text.data() + more.text.size() - line.text.data()));
        if (whole.size() > kMostJoinedBytes) break;
        if (quote_is_open(whole)) continue;
        line.text = whole;
        line.ended = more.ended;
        *this = ahead;
        break;
    }
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

bool Cells::next(std::string_view& cell) {
    if (done_) return false;
    std::size_t look = begin_;
    while (look < line_.size() && line_[look] == ' ') ++look;
    if (look < line_.size() && line_[look] == '"') {
        const std::size_t quoted = quoted_length(line_.substr(look));
        look = quoted == 0 ? line_.size() : look + quoted;
    }
    const std::size_t end = line_.find(delimiter_, look);
    done_ = end == std::string_view::npos;
    cell = line_.substr(begin_, done_ ? end : end - begin_);
    begin_ = end + 1;
    return true;
}

std::vector<std::string_view> split(std::string_view line, char delimiter, std::size_t most) {
    std::vector<std::string_view> all;
    Cells cells(line, delimiter);
    std::string_view cell;
    while (all.size() < most && cells.next(cell)) all.push_back(cell);
    return all;
}

std::size_t count_cells(std::string_view line, char delimiter) {
    std::size_t count = 0;
    Cells cells(line, delimiter);
    for (std::string_view cell; cells.next(cell);) ++count;
    return count;
}

bool ends_in_quotes(std::string_view line, char delimiter) {
    Cells cells(line, delimiter);
    std::string_view last;
    while (cells.next(last)) {
    }
    last = trim(last);
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
    return in_utf8(trim(in_one_line(std::move(text))));
}

std::string_view unquoted(std::string_view cell) {
    cell = trim(cell);
    if (cell.size() < 2 || cell.front() != '"' || cell.back() != '"') return cell;
    return trim(cell.substr(1, cell.size() - 2));
}

std::string lower(std::string_view text) {
    std::string low(text);
    std::ranges::transform(low, low.begin(),
                           [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
    return low;
}

}  // namespace revwright::csv
