#include "formats/csv/dialect.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>

#include "core/unit.h"
#include "formats/csv/header.h"
#include "formats/csv/number.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kSampleLines = 400;
constexpr std::size_t kSampleBytes = std::size_t{1} << 22;

std::vector<Line> sample_of(std::string_view text) {
    std::vector<Line> sample;
    Lines lines(text);
    Line line;
    std::size_t bytes = 0;
    while (sample.size() < kSampleLines && bytes < kSampleBytes && lines.next(line)) {
        sample.push_back(line);
        bytes += line.text.size();
    }
    return sample;
}

/// What the cells of a line are under one way of reading it.
struct Tally {
    std::size_t cells = 0, numbers = 0, words = 0;
    bool names_a_time = false;
    bool is_row() const { return numbers > words && !names_a_time; }
};

Tally tally(std::string_view line, char delimiter, char decimal) {
    Tally found;
    for (const std::string_view cell : split(line, delimiter)) {
        ++found.cells;
        std::string_view inner = trim(cell);
        if (inner.size() >= 2 && inner.front() == '"' && inner.back() == '"')
            inner = trim(inner.substr(1, inner.size() - 2));
        if (inner.empty()) continue;
        if (whole_number(inner, decimal))
            ++found.numbers;
        else {
            ++found.words;
            found.names_a_time = found.names_a_time || names_time(cell);
        }
    }
    return found;
}

struct Way {
    char delimiter, decimal;
};
constexpr std::array kWays{Way{',', '.'}, Way{';', '.'}, Way{';', ','}, Way{'\t', '.'}, Way{'\t', ','}};

/// The way that makes most cells of the sample's rows numbers; the first of equals.
Way best_way(const std::vector<Line>& sample) {
    Way best = kWays.front();
    std::ptrdiff_t best_score = 0;
    for (const Way way : kWays) {
        std::ptrdiff_t score = 0;
        for (const Line& line : sample) {
            const Tally found = tally(line.text, way.delimiter, way.decimal);
            if (found.is_row()) score += static_cast<std::ptrdiff_t>(found.numbers - found.words);
        }
        if (score > best_score) best = way, best_score = score;
    }
    return best;
}

/// Where the first lines hold whole numbers only, the rest of the file tells which mark it uses.
char settle_decimal(Way way, std::string_view rows) {
    if (way.delimiter == ',' || way.decimal == ',') return way.decimal;
    const bool has_point = rows.contains('.');
    return !has_point && rows.contains(',') ? ',' : '.';
}

/// The first row of numbers as wide as most of them are; preamble lines such as "Rate;20" are narrower.
std::size_t first_row_of(const std::vector<Line>& sample, Way way) {
    std::map<std::size_t, std::size_t> widths;
    std::vector<Tally> tallies;
    for (const Line& line : sample) {
        tallies.push_back(tally(line.text, way.delimiter, way.decimal));
        if (tallies.back().is_row()) ++widths[tallies.back().cells];
    }
    if (widths.empty()) return sample.size();
    const auto most = std::ranges::max_element(widths, {}, [](const auto& entry) { return entry.second; });
    const auto row =
        std::ranges::find_if(tallies, [&](const Tally& found) { return found.is_row() && found.cells == most->first; });
    return static_cast<std::size_t>(row - tallies.begin());
}

/// A line of words as wide as the rows, but for a delimiter at the end of one of them.
bool may_be_header(const Line& line, const Line& row, Way way) {
    const Tally words = tally(line.text, way.delimiter, way.decimal);
    const std::size_t width = split(row.text, way.delimiter).size();
    return words.words > 0 && !words.is_row() && words.cells + 1 >= width;
}

bool may_be_units(const Line& line, char delimiter) {
    std::size_t known = 0, other = 0;
    for (const std::string_view cell : split(line.text, delimiter)) {
        const std::string text = unit_cell(cell);
        if (text.empty()) continue;
        ++(known_unit(text) ? known : other);
    }
    return known > 0 && known >= other;
}

tl::unexpected<Error> no_row(const std::vector<Line>& sample, const std::string& file) {
    for (const Line& line : sample)
        for (const char delimiter : {',', ';', '\t'})
            for (const std::string_view cell : split(line.text, delimiter))
                if (names_time(cell))
                    return refuse("expected rows of numbers below the header, found none", Place{file, line.number});
    return refuse(fmt::format("expected a header line and rows of numbers, found no row of numbers in the first {}",
                              sample.size() == 1 ? "line" : fmt::format("{} lines", sample.size())),
                  Place{file});
}

}  // namespace

Result<Dialect> detect(std::string_view text, const std::string& file) {
    const std::vector<Line> sample = sample_of(text);
    const Way way = best_way(sample);
    const std::size_t row = first_row_of(sample, way);
    if (row == sample.size()) return no_row(sample, file);

    // The two lines with something in them above the first row.
    std::vector<std::size_t> above;
    for (std::size_t i = row; i-- > 0 && above.size() < 2;)
        if (!trim(sample[i].text).empty()) above.push_back(i);
    const auto fits = [&](std::size_t i) { return may_be_header(sample[i], sample[row], way); };
    if (above.empty() || !fits(above[0]))
        return refuse("expected a header line above the first row of numbers, found none",
                      Place{file, sample[row].number});

    Dialect dialect{way.delimiter, way.decimal, sample[above[0]]};
    if (above.size() == 2 && may_be_units(sample[above[0]], way.delimiter) && fits(above[1])) {
        dialect.header = sample[above[1]];
        dialect.units = sample[above[0]];
    }
    dialect.rows = text.substr(static_cast<std::size_t>(sample[row].text.data() - text.data()));
    dialect.first_row = sample[row].number;
    dialect.decimal = settle_decimal(way, dialect.rows);
    return dialect;
}

}  // namespace revwright::csv
