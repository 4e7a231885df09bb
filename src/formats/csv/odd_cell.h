#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace revwright::csv {

/// How the cells of one column are written where they are no plain numbers; settled by the first rows.
struct CellStyle {
    enum class Kind {
        plain,
        clock,         // "12:34:56.7", with or without a date
        with_unit,     // "85 C", all in one unit
        units_differ,  // "1 bar" and "900 mbar": not read
        yes_no,        // on/off, true/false: 1 and 0
        hexadecimal,   // "0x1F"
    };
    Kind kind = Kind::plain;
    std::string unit = {};     // with_unit: as the first cell writes it
    std::string written = {};  // the same, byte for byte
    std::string other = {};    // units_differ: a cell in another unit than that
    char thousands = 0;        // the mark between thousands, comma or point, where a cell has shown it to be one
};

/// A unit of ours, or a gauge pressure in one.
bool is_unit(std::string_view text);

/// Two spellings of one unit.
bool same_unit(std::string_view a, std::string_view b);

/// "85 C", "3000rpm", "0.4 bar gauge": a number and a unit behind it; nothing for any other text.
struct NumberWithUnit {
    double value = 0.0;
    std::string unit;     // in UTF-8
    std::string written;  // as the cell has it
};
std::optional<NumberWithUnit> number_with_unit(std::string_view text, char decimal);

/// Nothing, or what loggers write for no sample: "-", "n/a", "NaN".
bool is_placeholder(std::string_view text);

/// "on", "TRUE", "ja" -> 1, "off", "false", "nein" -> 0.
std::optional<double> yes_or_no(std::string_view text);

/// "0x1F" -> 31; at most 13 digits, which a double holds exactly.
std::optional<double> hexadecimal(std::string_view text);

/// A number whose thousands are marked: "1,234.5", "1 234", "1'234".
struct GroupedNumber {
    double value = 0.0;
    char mark = ' ';
    bool certain = false;  // false for "1,234", which may be 1.234 as well
};
std::optional<GroupedNumber> grouped_number(std::string_view text, char decimal);

}  // namespace revwright::csv
