#include "image/conversion.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace revwright {
namespace {

bool inside(double x, const PhysicalLimits& limits) {
    // A limit is typed with a few digits: a value that rounds to it is not outside.
    const double allowance = 1e-9 * std::max(1.0, std::abs(x));
    return (!limits.low || x >= *limits.low - allowance) && (!limits.high || x <= *limits.high + allowance);
}

/// The physical values whose count is `y`: (a - y d) x^2 + (b - y e) x + (c - y f) = 0.
std::vector<double> solutions(const RationalConversion& r, double y) {
    const double a = r.a - y * r.d, b = r.b - y * r.e, c = r.c - y * r.f;
    std::vector<double> roots;
    if (a == 0.0) {
        if (b != 0.0) roots.push_back(-c / b);
    } else if (const double square = b * b - 4.0 * a * c; square >= 0.0) {
        // The root of the greater sum first; the other from the product, so that neither loses digits.
        const double q = -0.5 * (b + std::copysign(std::sqrt(square), b));
        roots.push_back(q / a);
        if (square > 0.0) roots.push_back(q == 0.0 ? 0.0 : c / q);
    }
    std::erase_if(roots, [&](double x) { return !std::isfinite(x) || (r.d * x + r.e) * x + r.f == 0.0; });
    return roots;
}

std::optional<double> value_of(const RationalConversion& rational, double count, const PhysicalLimits& limits) {
    auto roots = solutions(rational, count);
    if (roots.size() > 1) std::erase_if(roots, [&](double x) { return !inside(x, limits); });
    if (roots.size() != 1) return std::nullopt;
    return roots.front();
}

/// Rows may stand in any order: the nearest below and above are looked for.
std::optional<double> value_of(const TableConversion& table, double count) {
    const std::size_t rows = std::min(table.counts.size(), table.values.size());
    std::optional<std::size_t> below, above;
    for (std::size_t i = 0; i < rows; ++i) {
        const double at = table.counts[i];
        if (at == count) return table.values[i];
        if (at < count && (!below || at > table.counts[*below])) below = i;
        if (at > count && (!above || at < table.counts[*above])) above = i;
    }
    if (!table.interpolate || (!below && !above)) return table.otherwise;
    if (!below || !above) return table.otherwise ? *table.otherwise : table.values[below ? *below : *above];
    const double share = (count - table.counts[*below]) / (table.counts[*above] - table.counts[*below]);
    return table.values[*below] + share * (table.values[*above] - table.values[*below]);
}

template <class... F>
struct Overloaded : F... {
    using F::operator()...;
};

}  // namespace

std::optional<double> physical_value(const Conversion& conversion, double count, const PhysicalLimits& limits) {
    const auto value = std::visit(
        Overloaded{
            [&](const LinearConversion& line) -> std::optional<double> { return line.factor * count + line.offset; },
            [&](const RationalConversion& rational) { return value_of(rational, count, limits); },
            [&](const TableConversion& table) { return value_of(table, count); },
            [&](const WordConversion&) -> std::optional<double> { return std::nullopt; },
            [&](const FormulaConversion& formula) -> std::optional<double> {
                if (formula.expression.inputs() > 1) return std::nullopt;
                return formula.expression(count);
            },
            [&](const UnknownConversion&) -> std::optional<double> { return std::nullopt; },
        },
        conversion);
    return value && std::isfinite(*value) ? value : std::nullopt;
}

std::optional<std::string> word_of(const WordConversion& conversion, double count) {
    const bool whole = count == std::floor(count);
    for (const WordConversion::Row& row : conversion.rows) {
        const bool below_end = whole || row.low == row.high ? count <= row.high : count < row.high;
        if (count >= row.low && below_end) return row.word;
    }
    if (conversion.otherwise.empty()) return std::nullopt;
    return conversion.otherwise;
}

std::size_t cost_of(const Conversion& conversion) {
    constexpr std::size_t kRowsForOne = 16;
    return std::visit(Overloaded{
                          [](const TableConversion& table) { return 1 + table.counts.size() / kRowsForOne; },
                          [](const WordConversion& words) { return 1 + words.rows.size() / kRowsForOne; },
                          [](const FormulaConversion&) { return std::size_t{64}; },
                          [](const auto&) { return std::size_t{1}; },
                      },
                      conversion);
}

std::string why_not_linear(const Conversion& conversion) {
    return std::visit(
        Overloaded{
            [](const LinearConversion&) { return std::string(); },
            [](const RationalConversion&) { return std::string("its conversion (RAT_FUNC) is no straight line"); },
            [](const TableConversion&) { return std::string("its conversion is a table"); },
            [](const WordConversion&) { return std::string("its counts stand for words"); },
            [](const FormulaConversion&) { return std::string("its conversion is a formula"); },
            [](const UnknownConversion& unknown) { return "its conversion is not understood: " + unknown.why; },
        },
        conversion);
}

}  // namespace revwright
