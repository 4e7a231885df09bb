#include "cli/text/layout.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace revwright::cli::text {
namespace {

bool is_number(std::string_view cell) {
    if (cell.starts_with('-') || cell.starts_with('+')) cell.remove_prefix(1);
    return !cell.empty() && cell.front() >= '0' && cell.front() <= '9';
}

}  // namespace

std::size_t width_of(std::string_view utf8) {
    return static_cast<std::size_t>(
        std::ranges::count_if(utf8, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string Columns::print(std::size_t indent) const {
    std::vector<std::size_t> widths(rows_[0].size(), 0);
    std::vector<bool> right(rows_[0].size(), rows_.size() > 1);
    for (const auto& row : rows_)
        for (std::size_t c = 0; c < row.size(); ++c) widths[c] = std::max(widths[c], width_of(row[c]));
    for (std::size_t r = 1; r < rows_.size(); ++r)
        for (std::size_t c = 0; c < rows_[r].size(); ++c)
            if (!rows_[r][c].empty() && rows_[r][c] != "-" && !is_number(rows_[r][c])) right[c] = false;
    std::string text;
    for (const auto& row : rows_) {
        std::string line(indent, ' ');
        for (std::size_t c = 0; c < row.size(); ++c) {
            const std::string pad(widths[c] - width_of(row[c]), ' ');
            line += right[c] ? pad + row[c] : row[c] + pad;
            line += "  ";
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + '\n';
    }
    return text;
}

std::string paragraph(std::string_view words, std::size_t indent) {
    std::string text, line(indent, ' ');
    bool first = true;
    while (!words.empty()) {
        const std::size_t end = std::min(words.find(' '), words.size());
        const std::string_view word = words.substr(0, end);
        words.remove_prefix(std::min(end + 1, words.size()));
        if (!first && width_of(line) + 1 + width_of(word) > kPageWidth) {
            text += line + '\n';
            line.assign(indent, ' ');
            first = true;
        }
        if (!first) line += ' ';
        line += word;
        first = false;
    }
    return text + line + '\n';
}

std::string fixed(double value, int decimals) {
    return std::isfinite(value) ? fmt::format("{:.{}f}", value, decimals) : "-";
}

std::string with_sign(double value, int decimals) {
    return std::isfinite(value) ? fmt::format("{:+.{}f}", value, decimals) : "-";
}

int decimals_of(std::string_view unit) {
    if (unit == "1") return 3;
    if (unit == "deg" || unit == "kPa" || unit == "%" || unit == "V" || unit == "MPa" || unit == "ms") return 1;
    if (unit == "C" || unit == "K" || unit == "rpm" || unit == "Nm") return 0;
    return 2;
}

std::string count(std::size_t n, std::string_view singular) {
    return fmt::format("{} {}{}", n, singular, n == 1 ? "" : "s");
}

}  // namespace revwright::cli::text
