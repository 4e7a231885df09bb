#include "formats/csv/dialect.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>
#include <span>
#include <utility>

#include "core/unit.h"
#include "formats/csv/clock_text.h"
#include "formats/csv/header.h"
#include "formats/csv/number.h"
#include "formats/csv/odd_cell.h"
#include "formats/csv/time_name.h"

namespace revwright::csv {
namespace {

constexpr std::size_t kSampleLines = 400;
constexpr std::size_t kSampleBytes = std::size_t{1} << 22;

Result<std::vector<Line>> sample_of(std::string_view text, const std::string& file) {
    std::vector<Line> sample;
    Lines lines(text);
    Line line;
    std::size_t bytes = 0;
    while (sample.size() < kSampleLines && bytes < kSampleBytes && lines.next_whole(line)) {
        if (line.text.size() > kLongestLine)
            return refuse(
                fmt::format("expected lines of at most {} bytes, found one of {}", kLongestLine, line.text.size()),
                Place{file, line.number});
        sample.push_back(line);
        bytes += line.text.size();
    }
    return sample;
}

struct Way {
    char delimiter, decimal;
    char bare_decimal() const { return decimal == delimiter ? '.' : decimal; }
};
constexpr std::array kWays{Way{',', '.'}, Way{';', '.'}, Way{';', ','}, Way{'\t', '.'}, Way{'\t', ','}, Way{',', ','}};

/// What the cells of a line are under one way of reading it.
struct Tally {
    std::size_t cells = 0, numbers = 0, words = 0;
    bool names_a_time = false;
    bool starts_with_word = false;
    bool is_row() const { return numbers > words && !names_a_time; }
};

/// Cells that are read as numbers though they are none: "12:34:56", "85 C", "on", "0x1F", "1,234.5".
bool stands_for_number(std::string_view text, char decimal) {
    if (read_clock_text(text) || number_with_unit(text, decimal) || yes_or_no(text) || hexadecimal(text)) return true;
    const auto grouped = grouped_number(text, decimal);
    return grouped && grouped->certain;
}

/// Whether a comma-separated file shows by this cell that its quoted numbers have a decimal comma: "0,95" does, "1,234"
/// may be a thousand, and a point in an unquoted number denies it.
bool fits_comma_in_commas(std::string_view inner, bool quoted) {
    if (!quoted) return !inner.contains('.');
    const std::size_t comma = inner.find(',');
    return comma == std::string_view::npos || inner.size() - comma != 4 || inner.starts_with("0,") ||
           inner.starts_with("-0,");
}

Tally tally(std::string_view line, Way way) {
    Tally found;
    Cells cells(line, way.delimiter);
    for (std::string_view cell; cells.next(cell);) {
        if (++found.cells > kMostColumns) continue;
        const std::string_view inner = unquoted(cell);
        const bool quoted = inner.data() != trim(cell).data();
        const char decimal = quoted ? way.decimal : way.bare_decimal();
        // A date says neither what a row is nor what a header is: both may hold one.
        const bool plain = is_plain_number(inner, decimal);
        if (inner.empty() || (!plain && is_date_alone(inner))) continue;
        const bool number = plain || whole_number(inner, decimal) || stands_for_number(inner, decimal);
        if (number && (way.decimal != way.delimiter || fits_comma_in_commas(inner, quoted))) {
            ++found.numbers;
        } else {
            ++found.words;
            found.starts_with_word = found.starts_with_word || found.cells == 1;
            found.names_a_time = found.names_a_time || names_time(cell);
        }
    }
    return found;
}

/// The sample under one way of reading it.
struct Reading {
    Way way;
    std::vector<Tally> lines = {};

    std::ptrdiff_t score() const {
        std::ptrdiff_t score = 0;
        for (const Tally& line : lines)
            if (line.is_row()) score += static_cast<std::ptrdiff_t>(line.numbers - line.words);
        return score;
    }
};

Reading read_as(Way way, const std::vector<Line>& sample, const Workers& workers) {
    Reading reading{way, std::vector<Tally>(sample.size())};
    workers.run(workers.count, [&](std::size_t part) {
        const std::size_t end = (part + 1) * sample.size() / workers.count;
        for (std::size_t i = part * sample.size() / workers.count; i < end; ++i)
            reading.lines[i] = tally(sample[i].text, way);
    });
    return reading;
}

/// No way can score more: there are no more cells, and a decimal comma among commas needs quotes.
std::ptrdiff_t most_of(Way way, const std::vector<Line>& sample) {
    std::ptrdiff_t most = 0;
    bool quotes = false;
    for (const Line& line : sample) {
        most += 1 + std::ranges::count(line.text, way.delimiter);
        quotes = quotes || line.text.contains('"');
    }
    return way.delimiter == way.decimal && !quotes ? 0 : most;
}

/// The way that makes most cells of the sample's rows numbers; the first of equals.
Reading best_reading(const std::vector<Line>& sample, const Workers& workers) {
    Reading best = read_as(kWays.front(), sample, workers);
    for (const Way way : std::span(kWays).subspan(1)) {
        if (most_of(way, sample) <= best.score()) continue;
        if (Reading other = read_as(way, sample, workers); other.score() > best.score()) best = std::move(other);
    }
    return best;
}

/// Where the first lines hold whole numbers only, the rest of the file tells which mark it uses.
char settle_decimal(Way way, std::string_view rows) {
    if (way.delimiter == ',' || way.decimal == ',') return way.decimal;
    const bool has_point = rows.contains('.');
    return !has_point && rows.contains(',') ? ',' : '.';
}

/// The first row of numbers as wide as most of them are, and starting with a number if they do; preamble lines such as
/// "Rate;20" or "Start;10:00:00;20 Hz" are narrower or start with a word.
std::size_t first_row_of(const std::vector<Tally>& tallies) {
    std::map<std::pair<std::size_t, bool>, std::size_t> shapes;
    for (const Tally& found : tallies)
        if (found.is_row()) ++shapes[{found.cells, found.starts_with_word}];
    if (shapes.empty()) return tallies.size();
    const auto most = std::ranges::max_element(shapes, {}, [](const auto& entry) { return entry.second; });
    const auto row = std::ranges::find_if(tallies, [&](const Tally& found) {
        return found.is_row() && std::pair{found.cells, found.starts_with_word} == most->first;
    });
    return static_cast<std::size_t>(row - tallies.begin());
}

/// How many cells the line has, without empty ones at its end.
std::size_t filled_cells(std::string_view line, char delimiter) {
    std::size_t count = 0, filled = 0;
    Cells cells(line, delimiter);
    for (std::string_view cell; cells.next(cell);)
        if (++count; !trim(cell).empty()) filled = count;
    return filled;
}

/// A line of words as wide as the rows, but for a delimiter at the end of one of them.
bool may_be_header(const Line& line, const Line& row, Way way) {
    const Tally words = tally(line.text, way);
    return words.words > 0 && !words.is_row() && words.cells + 1 >= filled_cells(row.text, way.delimiter);
}

bool may_be_units(const Line& line, char delimiter) {
    std::size_t known = 0, other = 0;
    for (const std::string_view cell : split(line.text, delimiter, kMostColumns)) {
        const std::string text = unit_cell(cell);
        if (text.empty()) continue;
        ++(known_unit(text) ? known : other);
    }
    return known > 0 && known >= other;
}

tl::unexpected<Error> no_row(const std::vector<Line>& sample, const std::string& file) {
    for (const Line& line : sample)
        for (const char delimiter : {',', ';', '\t'})
            for (const std::string_view cell : split(line.text, delimiter, kMostColumns))
                if (names_time(cell))
                    return refuse("expected rows of numbers below the header, found none", Place{file, line.number});
    return refuse(fmt::format("expected a header line and rows of numbers, found no row of numbers in the first {}",
                              sample.size() == 1 ? "line" : fmt::format("{} lines", sample.size())),
                  Place{file});
}

}  // namespace

Result<Dialect> detect(std::string_view text, const std::string& file, const Workers& workers) {
    const auto lines = sample_of(text, file);
    if (!lines) return tl::unexpected(lines.error());
    const std::vector<Line>& sample = *lines;
    const auto [way, tallies] = best_reading(sample, workers);
    const std::size_t row = first_row_of(tallies);
    if (row == sample.size()) return no_row(sample, file);

    // The two lines with something in them above the first row.
    std::vector<std::size_t> above;
    for (std::size_t i = row; i-- > 0 && above.size() < 2;)
        if (!trim(sample[i].text).empty()) above.push_back(i);
    const auto fits = [&](std::size_t i) { return may_be_header(sample[i], sample[row], way); };
    if (above.empty() || !fits(above[0]))
        return refuse("expected a header line above the first row of numbers, found none",
                      Place{file, sample[row].number});

    Dialect dialect{way.delimiter, way.decimal, way.bare_decimal(), sample[above[0]]};
    if (above.size() == 2 && may_be_units(sample[above[0]], way.delimiter) && fits(above[1])) {
        dialect.header = sample[above[1]];
        dialect.units = sample[above[0]];
    }
    dialect.rows = text.substr(static_cast<std::size_t>(sample[row].text.data() - text.data()));
    dialect.first_row = sample[row].number;
    dialect.sample.assign(sample.begin() + static_cast<std::ptrdiff_t>(row), sample.end());
    if (way.delimiter != way.decimal) dialect.decimal = dialect.bare_decimal = settle_decimal(way, dialect.rows);
    return dialect;
}

}  // namespace revwright::csv
