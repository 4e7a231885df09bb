#pragma once

#include <optional>
#include <string_view>

namespace revwright {

/// From a reading in one unit to the reading in another: y = (x - zero_from) * multiply / divide + zero_to.
/// One of multiply and divide is 1 where the ratio is a whole number, so that 985 hPa becomes 98.5 kPa and not a hair
/// less.
struct UnitConversion {
    double zero_from = 0.0;
    double multiply = 1.0;
    double divide = 1.0;
    double zero_to = 0.0;
    double operator()(double x) const { return (x - zero_from) * multiply / divide + zero_to; }
    bool is_identity() const { return zero_from == zero_to && multiply == divide; }
};

/// How to turn `from` into `to`; nothing where either is unknown or they measure different things.
/// Spellings are read as loggers write them: any case, with or without spaces, the degree sign in UTF-8 or Latin-1.
/// Gauge pressure is no unit: "bar gauge" is unknown here, because it needs the ambient pressure. Nor is an air-fuel
/// ratio, because it needs the fuel.
std::optional<UnitConversion> conversion(std::string_view from, std::string_view to);

bool known_unit(std::string_view text);

/// The unit's one spelling of ours: "kPa", "C", "rpm", "1"; empty where it is unknown.
std::string_view canonical_unit(std::string_view text);

}  // namespace revwright
