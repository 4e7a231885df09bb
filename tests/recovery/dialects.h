#pragma once

#include <span>
#include <string>
#include <string_view>

#include "model/log.h"

namespace revwright {

/// How a logger of its kind writes a drive down. Ten of them, together every oddity a CSV log has in the wild:
/// delimiter, decimal mark, encoding, language of the names, units and where they stand, form and number of the time
/// columns, blanks, quotes, metadata.
struct Dialect {
    enum class Text { utf8, utf8_with_mark, utf16, latin1 };
    enum class Names { canonical, english, german };
    enum class Units { absent, square, round, row, in_cells };
    enum class Time { seconds, milliseconds, clock, per_group };
    enum class Measures { metric, bar_gauge, imperial, millibar };

    std::string_view name;
    char delimiter = ',';
    char decimal = '.';
    Text text = Text::utf8;
    Names names = Names::canonical;
    Units units = Units::absent;
    Time time = Time::seconds;
    Measures measures = Measures::metric;
    bool retard_negative = false;
    bool air_fuel_ratio = false;  // instead of lambda, of petrol
    bool slow_as_blanks = false;  // slow channels stand in every fifth row only
    bool quoted = false;          // every cell
    bool trailing = false;        // a delimiter ends each row
    bool broken_header = false;   // line breaks inside quoted names
    bool preamble = false;
    std::string_view line_end = "\n";
};

std::span<const Dialect> ten_dialects();

/// The log, whose channels must be canonical and on one time base, as that logger would have written it.
std::string written_in(const Dialect& dialect, const Log& log);

}  // namespace revwright
