#pragma once

#include <string>
#include <string_view>

namespace revwright {

/// What a pressure is counted from, as far as its unit says.
enum class Reference { unsaid, absolute, gauge };

/// A unit as the log writes it, taken apart.
struct LoggedUnit {
    std::string unit = {};  // known to the unit table; empty where none is given, or none that is known
    Reference reference = Reference::unsaid;
    bool air_fuel_ratio = false;  // "AFR", "A/F"
    bool plain = false;           // "-", "1", ".." : a number without a unit, or a logger without units
    bool unreadable = false;      // a text that is no unit we know
};

/// "bar gauge", "psig", "kPa (g)", "mbar rel.", "barÜ" are gauge; "bara", "kPa abs" absolute.
LoggedUnit read_logged_unit(std::string_view text);

}  // namespace revwright
