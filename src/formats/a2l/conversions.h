#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <unordered_map>

#include "formats/a2l/cursor.h"
#include "formats/a2l/raw.h"

namespace revwright::a2l {

/// What a small description may still grow to: a table that many parameters use, an array of structures.
class Budget {
public:
    /// False where there is no room for so many bytes more.
    bool take(std::size_t bytes) {
        if (bytes > left_) return false;
        left_ -= bytes;
        return true;
    }

private:
    std::size_t left_ = std::size_t{1} << 28;
};

/// What a parameter or axis gets from the conversion it names.
struct ConversionUse {
    Conversion conversion = LinearConversion{};
    std::string unit = {};
    std::string why_not = {};  // the conversion is not there
    std::size_t bytes = 0;     // beside its own size
};

/// The conversions of a module, each made once.
class Conversions {
public:
    Conversions(const Cursor& cursor, RawModule& module, Budget& budget)
        : cursor_(cursor), module_(module), budget_(budget) {}

    /// `name` is a COMPU_METHOD or NO_COMPU_METHOD; PHYS_UNIT, where there is one, goes before the unit of the
    /// conversion.
    ConversionUse use(const Token& name, const std::optional<std::string>& unit);
    /// Only the unit: of a measurement.
    std::string unit(const Token& name, const std::optional<std::string>& unit);

private:
    const ConversionUse* made(const Token& name);
    ConversionUse make(const RawConversion& raw);
    Conversion of_table(const RawConversion& raw, ConversionUse& use);

    const Cursor& cursor_;
    RawModule& module_;
    Budget& budget_;
    std::unordered_map<std::string_view, ConversionUse> made_ = {};
};

/// COEFFS a b c d e f, count = (a x^2 + b x + c) / (d x^2 + e x + f): a straight line where it is one, unknown where it
/// gives one count for every x or none at all. Source: ASAM MCD-2 MC 1.6.
Conversion rational(double a, double b, double c, double d, double e, double f);

}  // namespace revwright::a2l
