#include "formats/sheets/words.h"

#include <algorithm>
#include <fmt/format.h>
#include <numeric>
#include <utility>
#include <vector>

namespace revwright::sheets {
namespace {

bool continues_a_character(char c) { return (static_cast<unsigned char>(c) & 0xC0u) == 0x80u; }

}  // namespace

std::string printable(std::string_view text, std::size_t most) {
    std::string out(text);
    if (text.size() > most) {
        std::size_t end = most;
        while (end > 0 && continues_a_character(text[end])) --end;
        out = std::string(text.substr(0, end)) + "...";
    }
    std::ranges::replace_if(out, [](char c) { return (c >= 0 && c < 0x20) || c == 0x7F; }, '?');
    return out;
}

std::string quoted(std::string_view text) { return fmt::format("\"{}\"", printable(text)); }

int edit_distance(std::string_view a, std::string_view b) {
    constexpr int kFar = 3;
    const std::size_t gap = a.size() > b.size() ? a.size() - b.size() : b.size() - a.size();
    if (gap >= kFar) return kFar;
    std::vector<int> row(b.size() + 1);
    std::iota(row.begin(), row.end(), 0);
    for (std::size_t i = 0; i < a.size(); ++i) {
        int diagonal = std::exchange(row[0], static_cast<int>(i) + 1);
        for (std::size_t j = 0; j < b.size(); ++j) {
            const int replaced = diagonal + (a[i] == b[j] ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({replaced, diagonal + 1, row[j] + 1});
        }
    }
    return std::min(row.back(), kFar);
}

std::string_view nearest(std::string_view found, std::span<const std::string_view> known) {
    std::string_view best;
    int least = 3;
    for (const std::string_view word : known) {
        // Two edits turn any two-letter word into any other: a short word must share something.
        const int distance = edit_distance(found, word);
        if (distance < least && static_cast<std::size_t>(distance) < word.size()) {
            least = distance;
            best = word;
        }
    }
    return best;
}

std::string did_you_mean(std::string_view found, std::span<const std::string_view> known) {
    const std::string_view word = nearest(found, known);
    return word.empty() ? "" : fmt::format("; did you mean \"{}\"?", word);
}

std::string plain(double value) { return fmt::format("{}", value); }

}  // namespace revwright::sheets
