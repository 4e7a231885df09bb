#include "formats/csv/header.h"

#include <algorithm>
#include <fmt/format.h>

#include "formats/csv/cells.h"

namespace revwright::csv {
namespace {

// What loggers call the time, lower case. Without a unit it is in seconds.
constexpr std::string_view kTimeNames[] = {"time",        "t",       "timestamp", "time stamp",   "zeit",
                                           "zeitstempel", "seconds", "messzeit",  "elapsed time", "laufzeit"};

std::string lower(std::string_view text) {
    std::string low(text);
    std::ranges::transform(low, low.begin(),
                           [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
    return low;
}

/// What the name of a time column says of its unit: "time_ms" is in ms, "Zeit" in s if no brackets say otherwise.
struct TimeName {
    bool is_time = false;
    std::string_view unit = {};  // where the name holds one
};

TimeName time_name(std::string_view column_name) {
    const std::string name = lower(column_name);
    const auto is_time = [](std::string_view text) {
        return std::ranges::find(kTimeNames, text) != std::end(kTimeNames);
    };
    if (is_time(name)) return {true};
    const std::size_t bar = name.rfind('_');
    if (bar == std::string::npos || !is_time(std::string_view(name).substr(0, bar))) return {};
    for (const std::string_view unit : {"s", "ms", "us", "min"})
        if (name.substr(bar + 1) == unit) return {true, unit};
    return {};
}

bool is_index(std::string_view text) {
    return !text.empty() && std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
}

bool is_gauge(std::string_view text) {
    return text.ends_with(" gauge") && known_unit(text.substr(0, text.size() - std::string_view(" gauge").size()));
}

std::size_t time_column(const std::vector<Column>& columns) {
    const auto exact = std::ranges::find(columns, "time_s", &Column::name);
    if (exact != columns.end()) return static_cast<std::size_t>(exact - columns.begin());
    const auto any = std::ranges::find_if(columns, [](const Column& c) { return time_name(c.name).is_time; });
    return static_cast<std::size_t>(any - columns.begin());
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

}  // namespace

bool names_time(std::string_view cell) { return time_name(name_and_unit(cell_text(cell)).name).is_time; }

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
    const bool is_unit = text.back() == ']' ? !counts : known_unit(inside) || is_gauge(inside);
    if (!is_unit) return {std::string(text), {}};
    return {std::string(trim(name)), std::string(inside)};
}

Result<Header> read_header(const Dialect& dialect, const std::string& file) {
    const Place place{file, dialect.header.number};
    Header header{columns_of(dialect)};
    const std::size_t count = header.columns.size();
    if (count > kMostColumns)
        return refuse(fmt::format("the header has {} columns, at most {} are read", count, kMostColumns), place);
    header.time = time_column(header.columns);
    if (header.time == count)
        return refuse(
            fmt::format("expected a time column such as time_s, Time [ms] or Zeit, found none among {} columns", count),
            place);
    if (count == 1) return refuse("expected channels beside the time column, found none", place);
    const Column& time = header.columns[header.time];
    const std::string_view named = time_name(time.name).unit;
    const std::string_view unit = time.unit.empty() ? named : std::string_view(time.unit);
    const auto seconds = conversion(unit.empty() ? "s" : unit, "s");
    if (!seconds || (!named.empty() && !conversion(unit, named)->is_identity()))
        return refuse(fmt::format("the time column {} is in \"{}\", expected {}", time.name, time.unit,
                                  named.empty() ? "a unit of time such as s or ms" : named),
                      place);
    header.seconds = *seconds;
    return header;
}

}  // namespace revwright::csv
