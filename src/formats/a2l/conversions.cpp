#include "formats/a2l/conversions.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "formats/a2l/fields.h"

namespace revwright::a2l {
namespace {

Conversion unknown(std::string why) {
    UnknownConversion conversion;
    because(conversion.why, std::move(why));
    return conversion;
}

Conversion straight(double factor, double offset) {
    if (!std::isfinite(factor) || !std::isfinite(offset) || factor == 0.0)
        return unknown(fmt::format("its straight line has the factor {} and the offset {}", factor, offset));
    return LinearConversion{factor, offset};
}

std::string check_rows(const TableConversion& table) {
    if (table.counts.empty()) return "its table has no rows";
    const bool rises = std::ranges::adjacent_find(table.counts, std::greater_equal{}) == table.counts.end();
    const bool falls = std::ranges::adjacent_find(table.counts, std::less_equal{}) == table.counts.end();
    if (table.interpolate && !rises && !falls) return "the counts of its table neither rise nor fall throughout";
    std::vector<double> sorted = table.counts;
    std::ranges::sort(sorted);
    if (std::ranges::adjacent_find(sorted) != sorted.end()) return "its table holds one count twice";
    return {};
}

Conversion formula(const RawConversion& raw) {
    if (!raw.formula) return unknown("it has no FORMULA");
    auto read = Expression::parse(*raw.formula);
    if (!read)
        return unknown(fmt::format("its formula \"{}\" is not understood: {}", brief(*raw.formula), read.error().what));
    if (read->inputs() == 0)
        return unknown(fmt::format("its formula \"{}\" does not depend on the count", brief(*raw.formula)));
    if (read->inputs() > 1)
        return unknown(fmt::format("its formula \"{}\" needs more than the count", brief(*raw.formula)));
    return FormulaConversion{std::move(*read), *raw.formula};
}

std::size_t bytes_of(const Conversion& conversion) {
    if (const auto* table = std::get_if<TableConversion>(&conversion)) return table->counts.size() * 2 * sizeof(double);
    if (const auto* form = std::get_if<FormulaConversion>(&conversion))
        return form->text.size() * (1 + sizeof(Expression::Step));
    if (const auto* unknown = std::get_if<UnknownConversion>(&conversion)) return unknown->why.size();
    const auto* words = std::get_if<WordConversion>(&conversion);
    std::size_t bytes = 0;
    if (words != nullptr)
        for (const auto& row : words->rows) bytes += sizeof row + row.word.size();
    return bytes;
}

}  // namespace

Conversion rational(double a, double b, double c, double d, double e, double f) {
    if (d == 0.0 && e == 0.0 && f == 0.0) return unknown("the denominator of its COEFFS is 0");
    if (a * e == b * d && a * f == c * d && b * f == c * e)
        return unknown("its COEFFS give one count for every physical value");
    if (c == 0.0 && f == 0.0) return rational(0.0, a, b, 0.0, d, e);  // x stands above and below the line
    if (a == 0.0 && d == 0.0 && e == 0.0) return straight(f / b, -c / b);
    return RationalConversion{a, b, c, d, e, f};
}

Conversion Conversions::of_table(const RawConversion& raw, ConversionUse& use) {
    if (raw.table.text.empty()) return unknown("it names no table");
    const bool verbal = raw.kind.text == "TAB_VERB";
    if (auto* const words = verbal ? module_.words.find(raw.table.text) : nullptr) {
        if (words->contested)
            return unknown(fmt::format("its table {} stands twice and differs", brief(raw.table.text)));
        if (!words->value.why_not.empty())
            return unknown(fmt::format("its table {}: {}", brief(raw.table.text), words->value.why_not));
        return words->value.rows;
    }
    auto* const table = verbal ? nullptr : module_.tables.find(raw.table.text);
    if (table == nullptr) {
        use.why_not = fmt::format("the table {} of its conversion {} is not described", brief(raw.table.text),
                                  brief(raw.name.text));
        return unknown(use.why_not);
    }
    if (table->contested) return unknown(fmt::format("its table {} stands twice and differs", brief(raw.table.text)));
    if (!table->value.why_not.empty())
        return unknown(fmt::format("its table {}: {}", brief(raw.table.text), table->value.why_not));
    if (table->value.kind.text != raw.kind.text)
        return unknown(fmt::format("it says {}, its table {} says {}", brief(raw.kind.text), brief(raw.table.text),
                                   brief(table->value.kind.text)));
    TableConversion made = table->value.rows;
    made.interpolate = raw.kind.text == "TAB_INTP";
    if (std::string why = check_rows(made); !why.empty()) return unknown(std::move(why));
    return made;
}

ConversionUse Conversions::make(const RawConversion& raw) {
    ConversionUse use;
    use.unit = raw.unit;
    if (use.unit.empty() && !raw.unit_ref.text.empty())
        if (auto* const unit = module_.units.find(raw.unit_ref.text)) use.unit = unit->value.display;
    const std::string_view kind = raw.kind.text;
    const std::vector<double>& c = raw.coefficients;
    if (!raw.why_not.empty())
        use.conversion = unknown(raw.why_not);
    else if (kind == "IDENTICAL")
        use.conversion = LinearConversion{};
    else if (kind == "LINEAR")
        use.conversion =
            raw.linear.size() == 2 ? straight(raw.linear[0], raw.linear[1]) : unknown("it has no COEFFS_LINEAR");
    else if (kind == "RAT_FUNC")
        use.conversion = c.size() == 6 ? rational(c[0], c[1], c[2], c[3], c[4], c[5]) : unknown("it has no COEFFS");
    else if (kind == "TAB_INTP" || kind == "TAB_NOINTP" || kind == "TAB_VERB")
        use.conversion = of_table(raw, use);
    else if (kind == "FORM")
        use.conversion = formula(raw);
    else
        use.conversion = unknown(fmt::format("{} is no kind of conversion that is known", brief(kind)));
    if (auto* const why = std::get_if<UnknownConversion>(&use.conversion)) {
        const Place place = cursor_.place(raw.name);
        why->why = fmt::format("conversion {} ({}:{}): {}", brief(raw.name.text), place.file, place.line, why->why);
    }
    use.bytes = bytes_of(use.conversion) + use.unit.size();
    return use;
}

const ConversionUse* Conversions::made(const Token& name) {
    const auto [at, fresh] = made_.try_emplace(name.text);
    if (!fresh) return &at->second;
    if (name.text == "NO_COMPU_METHOD") return &at->second;
    auto* const raw = module_.conversions.find(name.text);
    if (raw == nullptr) {
        at->second.why_not = fmt::format("its conversion {} is not described", brief(name.text));
        at->second.conversion = unknown(at->second.why_not);
    } else if (raw->contested) {
        at->second.conversion = unknown(fmt::format("conversion {} stands twice and differs", brief(name.text)));
    } else {
        at->second = make(raw->value);
    }
    return &at->second;
}

ConversionUse Conversions::use(const Token& name, const std::optional<std::string>& unit) {
    const ConversionUse& made = *this->made(name);
    const bool fits = made.bytes == 0 || budget_.take(made.bytes);
    ConversionUse use{
        .conversion = fits ? made.conversion : unknown("the tables of all its parameters take too much room"),
        .unit = unit.value_or(fits ? made.unit : std::string()),
        .why_not = made.why_not,
        .bytes = made.bytes};
    if (!use.why_not.empty()) {
        const Place place = cursor_.place(name);
        use.why_not += fmt::format(" ({}:{}:{})", place.file, place.line, place.column);
    }
    return use;
}

std::string Conversions::unit(const Token& name, const std::optional<std::string>& unit) {
    if (unit) return *unit;
    const std::string& own = made(name)->unit;
    return budget_.take(own.size()) ? own : std::string();
}

}  // namespace revwright::a2l
