#include "formats/mdf4/conversion.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace revwright::mdf4 {
namespace {

constexpr double kNoNumber = std::numeric_limits<double>::quiet_NaN();
// Our choice: a bus keeps its highest codes, "not available", "error" and a few more, beside its scale.
constexpr std::size_t kMostStatusTexts = 8;

double between(const std::vector<std::pair<double, std::size_t>>& keys, const std::vector<double>& values, double x,
               bool nearest) {
    if (keys.empty() || std::isnan(x)) return kNoNumber;
    const auto value = [&](auto at) { return values[at->second]; };
    const auto after = std::ranges::upper_bound(keys, x, {}, &std::pair<double, std::size_t>::first);
    if (after == keys.begin()) return value(after);
    const auto before = after - 1;
    if (after == keys.end()) return value(before);
    if (nearest) return after->first - x < x - before->first ? value(after) : value(before);
    const double part = (x - before->first) / (after->first - before->first);
    return value(before) + part * (value(after) - value(before));
}

double ratio(const std::vector<double>& v, double x) {
    return ((v[0] * x + v[1]) * x + v[2]) / ((v[3] * x + v[4]) * x + v[5]);
}

}  // namespace

void Conversion::apply(std::span<double> numbers, bool whole) const {
    const auto each = [&](auto f) { std::ranges::transform(numbers, numbers.begin(), f); };
    switch (kind) {
        case linear:
            return each([&](double x) { return values[0] + values[1] * x; });
        case rational:
            return each([&](double x) { return ratio(values, x); });
        case algebraic:
            return each([&](double x) { return (*formula)(x); });
        case table_between:
            return each([&](double x) { return between(keys, values, x, false); });
        case table_nearest:
            return each([&](double x) { return between(keys, values, x, true); });
        case range_to_value:
            return each([&](double x) {
                const std::size_t row = (whole ? whole_ranges : ranges).find(x);
                return row == Segments::kNone ? values.back() : values[3 * row + 2];
            });
        default:
            return;
    }
}

Outcome Conversion::of(double raw, bool whole) const {
    if (std::isnan(raw)) return {raw};
    if (numeric()) {
        apply({&raw, 1}, whole);
        return {raw};
    }
    std::size_t row = Segments::kNone;
    if (kind == range_to_text) row = (whole ? whole_ranges : ranges).find(raw);
    if (kind == value_to_text) {
        const auto found = std::ranges::lower_bound(keys, raw, {}, &std::pair<double, std::size_t>::first);
        if (found != keys.end() && found->first == raw) row = found->second;
    }
    const bool defaulted = row == Segments::kNone;
    const ConversionRef& ref = defaulted ? refs.back() : refs[row];
    if (ref.text != nullptr) return {kNoNumber, ref.text};
    if (ref.scale != nullptr) return ref.scale->of(raw, whole);
    return {defaulted ? raw : kNoNumber};
}

std::string Conversion::of_bits(std::uint64_t raw) const {
    std::string text;
    for (std::size_t i = 0; i < refs.size(); ++i) {
        const Conversion* const table = refs[i].scale;
        if (table == nullptr || !table->gives_texts() || table->kind == bits_to_text) continue;
        const Outcome part = table->of(static_cast<double>(raw & masks[i]), true);
        if (part.text == nullptr || part.text->empty()) continue;
        if (!text.empty()) text += " | ";
        if (!table->name.empty()) text += table->name + " = ";
        text += *part.text;
    }
    return text;
}

Outcome Conversion::of(const std::string& raw) const {
    const std::size_t step = kind == text_to_text ? 2 : 1;
    const std::size_t rows = kind == text_to_text ? (refs.size() - 1) / 2 : refs.size();
    for (std::size_t row = 0; row < rows; ++row) {
        const std::string* const key = refs[step * row].text;
        if (key == nullptr || *key != raw) continue;
        if (kind == text_to_value) return {values[row]};
        const std::string* const text = refs[step * row + 1].text;
        return {kNoNumber, text != nullptr ? text : &raw};
    }
    if (kind == text_to_value) return {values.back()};
    return {kNoNumber, refs.back().text != nullptr ? refs.back().text : &raw};
}

const std::string& Conversion::unit_of_numbers() const {
    if (!unit.empty() || !gives_texts()) return unit;
    for (const ConversionRef& ref : refs)
        if (ref.scale != nullptr && !ref.scale->unit.empty()) return ref.scale->unit;
    return unit;
}

bool Conversion::numbers_with_status() const {
    if (!gives_texts() || kind == bits_to_text) return false;
    const auto is_text = [](const ConversionRef& ref) { return ref.text != nullptr && !ref.text->empty(); };
    const auto is_scale = [](const ConversionRef& ref) { return ref.scale != nullptr && ref.scale->numeric(); };
    return std::ranges::any_of(refs, is_scale) &&
           static_cast<std::size_t>(std::ranges::count_if(refs, is_text)) <= kMostStatusTexts;
}

}  // namespace revwright::mdf4
