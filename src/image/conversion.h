#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "model/parameter.h"

namespace revwright {

/// The least and greatest physical value a count may stand for, where the description says so.
struct PhysicalLimits {
    std::optional<double> low = {}, high = {};
};

/// The physical value of a count; nothing where it has none: a word, a count that a table does not hold, a rational
/// function that no value or more than one within the limits solves, a formula that is no finite number there.
/// Source of the forms: ASAM MCD-2 MC 1.6, COMPU_METHOD. RAT_FUNC gives the count from the physical value, and is
/// turned round here; TAB_INTP holds its end values outside.
std::optional<double> physical_value(const Conversion& conversion, double count, const PhysicalLimits& limits = {});

/// The word of a count; nothing where the conversion has none for it.
std::optional<std::string> word_of(const WordConversion& conversion, double count);

/// What it costs to read one count, as a multiple of a straight line: long tables and formulas cost more.
std::size_t cost_of(const Conversion& conversion);

/// Why a conversion does not allow writing: "its conversion is a table"; empty for a straight line.
std::string why_not_linear(const Conversion& conversion);

}  // namespace revwright
