#include "formats/csv/header.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>

#include "formats/csv/cells.h"
#include "formats/csv/clocks.h"
#include "formats/csv/column_facts.h"
#include "formats/csv/odd_cell.h"

namespace revwright::csv {
namespace {

bool is_index(std::string_view text) {
    return !text.empty() && std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
}

std::vector<Column> columns_of(const Dialect& dialect) {
    std::vector<std::string_view> cells = split(dialect.header.text, dialect.delimiter);
    while (cells.size() > 1 && trim(cells.back()).empty()) cells.pop_back();
    std::vector<std::string_view> units;
    if (dialect.units) units = split(dialect.units->text, dialect.delimiter);
    std::vector<Column> columns;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        columns.push_back(name_and_unit(cell_text(cells[i])));
        Column& column = columns.back();
        if (column.name.empty()) column.name = fmt::format("column {}", i + 1);
        if (column.unit.empty() && i < units.size()) column.unit = unit_cell(units[i]);
    }
    return columns;
}

bool times_a_group(const Header& header, std::size_t column) {
    return std::ranges::binary_search(header.groups, column, {}, &Group::time);
}

bool is_clock(const Header& header, const std::string& name) {
    return std::ranges::any_of(header.groups, [&](const Group& g) { return header.columns[g.time].name == name; });
}

// What we write above the clock; a channel of this name would be taken for it when the log is read again.
constexpr std::string_view kOurClock = "time_s";

/// Two channels of one name cannot be told apart: the later ones are numbered.
void number_names(Header& header) {
    std::map<std::string, std::size_t> seen;
    for (const Column& column : header.columns) ++seen[column.name];
    std::map<std::string, std::size_t> met;
    for (std::size_t i = 0; i < header.columns.size(); ++i) {
        Column& column = header.columns[i];
        const bool ours = column.name == kOurClock;
        if ((seen[column.name] < 2 && !ours) || times_a_group(header, i)) continue;
        const std::string name = column.name;
        std::size_t& count = met[name];
        if (++count == 1 && !ours && !is_clock(header, name)) continue;
        std::size_t number = std::max<std::size_t>(count, 2);
        while (seen.contains(fmt::format("{} ({})", name, number))) number = ++count;
        column.name = fmt::format("{} ({})", name, number);
        seen[column.name] = 1;
        header.lost.push_back(
            fmt::format("column {} is called {} like another; it is read as {}", i + 1, name, column.name));
    }
}

}  // namespace

std::string unit_cell(std::string_view cell) {
    const std::string whole = cell_text(cell);
    std::string_view text = whole;
    const bool bracketed =
        (text.starts_with('[') && text.ends_with(']')) || (text.starts_with('(') && text.ends_with(')'));
    if (bracketed && text.size() >= 2) text = trim(text.substr(1, text.size() - 2));
    const bool is_other = (is_index(text) && text != "1") || text.find_first_of("[]") != std::string_view::npos;
    if (is_other) return {};
    return std::string(text);
}

Column name_and_unit(std::string_view text) {
    text = trim(text);
    if (text.empty() || (text.back() != ']' && text.back() != ')')) return {std::string(text), {}};
    const std::size_t open = text.rfind(text.back() == ']' ? '[' : '(');
    if (open == std::string_view::npos) return {std::string(text), {}};
    const std::string_view inside = trim(text.substr(open + 1, text.size() - open - 2));
    const std::string_view name = text.substr(0, open);
    // "Lambda [1]" is a plain number, "cell[1]" the first of several.
    const bool counts = is_index(inside) && !(inside == "1" && name.ends_with(' '));
    const bool holds_unit = text.back() == ']' ? !counts : inside.empty() || is_unit(inside);
    if (!holds_unit) return {std::string(text), {}};
    return {std::string(trim(name)), std::string(inside)};
}

Result<Header> read_header(const Dialect& dialect, const std::string& file, const Workers& workers) {
    const Place place{file, dialect.header.number};
    const std::size_t cells = count_cells(dialect.header.text, dialect.delimiter);
    if (cells > kMostColumns + 1)
        return refuse(fmt::format("the header has {} columns, at most {} are read", cells, kMostColumns), place);
    Header header{columns_of(dialect)};
    const std::size_t count = header.columns.size();
    if (count > kMostColumns)
        return refuse(fmt::format("the header has {} columns, at most {} are read", count, kMostColumns), place);
    const std::vector<ColumnFacts> facts = column_facts(dialect, count, workers);
    for (std::size_t i = 0; i < count; ++i) header.columns[i].style = facts[i].style;
    if (const auto found = find_clocks(header, facts, place); !found) return tl::unexpected(found.error());
    if (count == 1) return refuse("expected channels beside the time column, found none", place);
    // Only a clock is read from clock text; a channel of such cells holds no numbers.
    for (std::size_t i = 0; i < count; ++i)
        if (header.columns[i].style.kind == CellStyle::Kind::clock && !times_a_group(header, i))
            header.columns[i].style.kind = CellStyle::Kind::plain;
    number_names(header);
    return header;
}

}  // namespace revwright::csv
