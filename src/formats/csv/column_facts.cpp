#include "formats/csv/column_facts.h"

#include <algorithm>
#include <cmath>

#include "formats/csv/clock_text.h"
#include "formats/csv/number.h"

namespace revwright::csv {
namespace {

void follow(ColumnFacts& facts, double reading) {
    if (reading > facts.last) {
        ++facts.rises;
        facts.smallest_rise = std::min(facts.smallest_rise, reading - facts.last);
        facts.largest_rise = std::max(facts.largest_rise, reading - facts.last);
    } else if (reading == facts.last) {
        ++facts.repeats;
    } else if (!std::isnan(facts.last)) {
        ++facts.falls;
    }
    facts.last = reading;
}

void take_united(ColumnFacts& facts, NumberWithUnit number, std::string_view cell) {
    ++facts.with_unit;
    follow(facts, number.value);
    if (facts.style.unit.empty()) {
        facts.style.unit = std::move(number.unit);
        facts.style.written = std::move(number.written);
    } else if (facts.style.other.empty() && !same_unit(facts.style.unit, number.unit)) {
        facts.style.other = cell_text(cell);
    }
}

void take(ColumnFacts& facts, std::string_view inner, char decimal) {
    if (facts.cells++ == 0) facts.first = cell_text(inner.substr(0, 64));
    if (const auto number = whole_number(inner, decimal)) {
        ++facts.numbers;
        follow(facts, *number);
    } else if (const auto reading = read_clock_text(inner)) {
        ++facts.clocks;
        follow(facts, static_cast<double>(reading->day.value_or(0)) * 86400.0 + reading->seconds);
    } else if (is_date_alone(inner)) {
        ++facts.dates;
    } else if (auto united = number_with_unit(inner, decimal)) {
        take_united(facts, std::move(*united), inner);
    } else if (yes_or_no(inner)) {
        ++facts.yes_no;
    } else if (hexadecimal(inner)) {
        ++facts.hexadecimal;
    } else if (const auto grouped = grouped_number(inner, decimal)) {
        if (grouped->certain) facts.style.thousands = grouped->mark;
    }
}

CellStyle::Kind kind_of(const ColumnFacts& facts) {
    using Kind = CellStyle::Kind;
    if (facts.all(facts.with_unit)) return facts.style.other.empty() ? Kind::with_unit : Kind::units_differ;
    if (facts.all(facts.yes_no)) return Kind::yes_no;
    if (facts.all(facts.hexadecimal)) return Kind::hexadecimal;
    if (facts.clocks > 0 && facts.all(facts.clocks)) return Kind::clock;
    return Kind::plain;
}

/// Of the columns from `begin` to before `end`.
void look_at(const Dialect& dialect, std::size_t begin, std::size_t end, std::vector<ColumnFacts>& all) {
    for (const Line& line : dialect.sample) {
        if (!line.ended && dialect.sample.size() > 1) break;  // may be cut short
        // A header that stands again in the middle says nothing of the cells.
        if (line.text == dialect.header.text || (dialect.units && line.text == dialect.units->text)) continue;
        Cells cells(line.text, dialect.delimiter);
        std::string_view cell;
        for (std::size_t i = 0; i < end && cells.next(cell); ++i) {
            if (i < begin) continue;
            const std::string_view inner = unquoted(cell);
            const bool quoted = inner.data() != trim(cell).data();
            if (!is_placeholder(inner)) take(all[i], inner, quoted ? dialect.decimal : dialect.bare_decimal);
        }
    }
    for (std::size_t i = begin; i < end; ++i) all[i].style.kind = kind_of(all[i]);
}

}  // namespace

std::vector<ColumnFacts> column_facts(const Dialect& dialect, std::size_t columns, const Workers& workers) {
    std::vector<ColumnFacts> all(columns);
    workers.run(workers.count, [&](std::size_t part) {
        look_at(dialect, part * columns / workers.count, (part + 1) * columns / workers.count, all);
    });
    return all;
}

}  // namespace revwright::csv
