#include "core/unit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <string>

namespace revwright {
namespace {

enum class Dimension : std::uint8_t {
    plain,
    angle,
    rotation,
    pressure,
    temperature,
    mass_flow,
    mass,
    time,
    speed,
    torque,
    power,
    voltage,
    length
};

/// One unit: SI value = (reading - zero) * multiply / divide. Where a factor is a fraction of exact numbers both are
/// kept.
struct Unit {
    std::string_view name;       // our spelling
    std::string_view spellings;  // as tidy() leaves them, between spaces
    Dimension dimension;
    double multiply = 1.0;
    double divide = 1.0;
    double zero = 0.0;
};

// Definitions, all exact: [SP811] NIST Special Publication 811 (2008), app. B.8 and B.9.
constexpr double kGravity = 9.80665;      // standard acceleration, m/s2 [SP811]
constexpr double kPound = 0.45359237;     // avoirdupois pound, kg [SP811]
constexpr double kInch = 0.0254;          // m [SP811]
constexpr double kFoot = 0.3048;          // m [SP811]
constexpr double kMile = 1609.344;        // m [SP811]
constexpr double kNauticalMile = 1852.0;  // m [SP811]
constexpr double kMercury = 13595.1;      // conventional density, kg/m3: 1 mmHg = 133.3224 Pa [SP811]
constexpr double kPoundForce = kPound * kGravity;
constexpr double kPi = 3.14159265358979323846;

constexpr std::array kUnits{
    Unit{"1", " 1 - -- ratio lambda factor fraction ", Dimension::plain},
    Unit{"%", " % pct percent prozent vh ", Dimension::plain, 1.0, 100.0},

    Unit{"deg", " deg degca degkw degcrk degcrank degbtdc degvot grdkw gradkw kw-grad degree degrees ca ",
         Dimension::angle, kPi, 180.0},
    Unit{"rad", " rad ", Dimension::angle},

    Unit{"rpm", " rpm 1/min u/min min-1 min^-1 /min r/min rev/min upm umin ", Dimension::rotation, 1.0, 60.0},
    Unit{"1/s", " 1/s s-1 s^-1 rps u/s rev/s ", Dimension::rotation},

    Unit{"Pa", " pa paabs ", Dimension::pressure},
    Unit{"hPa", " hpa mbar hpaabs mbarabs ", Dimension::pressure, 1e2},  // 1 mbar = 100 Pa [SP811]
    Unit{"kPa", " kpa kpaabs kpaa ", Dimension::pressure, 1e3},
    Unit{"bar", " bar bara barabs ", Dimension::pressure, 1e5},  // [SP811]
    Unit{"MPa", " mpa mpaabs ", Dimension::pressure, 1e6},
    Unit{"psi", " psi psia psiabs lbf/in2 ", Dimension::pressure, kPoundForce, kInch* kInch},  // 6894.757 Pa [SP811]
    Unit{"inHg", " inhg ", Dimension::pressure, kMercury* kGravity* kInch},                    // 3386.389 Pa [SP811]
    Unit{"mmHg", " mmhg ", Dimension::pressure, kMercury* kGravity, 1e3},                      // 133.3224 Pa [SP811]
    Unit{"Torr", " torr ", Dimension::pressure, 101325.0, 760.0},                              // 133.3224 Pa [SP811]
    Unit{"atm", " atm ", Dimension::pressure, 101325.0},                                       // [SP811]
    Unit{"kgf/cm2", " kgf/cm2 kp/cm2 kg/cm2 at ", Dimension::pressure, kGravity * 1e4},        // 98066.5 Pa [SP811]

    Unit{"K", " k kelvin degk ", Dimension::temperature},
    Unit{"C", " c degc grdc gradc celsius degcelsius ", Dimension::temperature, 1.0, 1.0, -273.15},  // [SP811] B.9
    Unit{"F", " f degf fahrenheit degfahrenheit ", Dimension::temperature, 5.0, 9.0, -459.67},       // [SP811] B.9

    Unit{"g/s", " g/s g/sec gps ", Dimension::mass_flow, 1.0, 1e3},
    Unit{"kg/s", " kg/s kg/sec ", Dimension::mass_flow},
    Unit{"kg/h", " kg/h kg/hr kg/std kgh ", Dimension::mass_flow, 1.0, 3600.0},
    Unit{"kg/min", " kg/min ", Dimension::mass_flow, 1.0, 60.0},
    Unit{"lb/min", " lb/min lbs/min lbm/min ", Dimension::mass_flow, kPound, 60.0},
    Unit{"lb/h", " lb/h lb/hr lbs/hr lbm/h ", Dimension::mass_flow, kPound, 3600.0},

    // "per stroke" names the occasion, not the amount.
    Unit{"mg", " mg mg/stk mg/hub mg/stroke mg/str mg/cyl mg/zyl ", Dimension::mass, 1.0, 1e6},
    Unit{"g", " g g/stk g/hub g/stroke g/cyl ", Dimension::mass, 1.0, 1e3},
    Unit{"kg", " kg ", Dimension::mass},

    Unit{"us", " us usec ", Dimension::time, 1.0, 1e6},
    Unit{"ms", " ms msec ", Dimension::time, 1.0, 1e3},
    Unit{"s", " s sec secs sek second seconds sekunden ", Dimension::time},
    Unit{"min", " min minute minutes minuten ", Dimension::time, 60.0},
    Unit{"h", " h hr hour hours std ", Dimension::time, 3600.0},

    Unit{"m/s", " m/s m/sec ", Dimension::speed},
    Unit{"km/h", " km/h kmh kph km/std ", Dimension::speed, 1.0, 3.6},
    Unit{"mph", " mph mi/h ", Dimension::speed, kMile, 3600.0},  // 0.44704 m/s [SP811]
    Unit{"kn", " kn kt kts knot knots ", Dimension::speed, kNauticalMile, 3600.0},

    Unit{"Nm", " nm n-m ", Dimension::torque},
    Unit{"lbf.ft", " lbfft lbf-ft lbft lb-ft ft-lb ftlb ftlbf ft-lbf lbsft lbs-ft ftlbs ft-lbs ", Dimension::torque,
         kPoundForce* kFoot},  // 1.355818 N m [SP811]

    Unit{"W", " w ", Dimension::power},
    Unit{"kW", " kw ", Dimension::power, 1e3},
    Unit{"PS", " ps cv ", Dimension::power, 75.0 * kGravity},  // 735.4988 W [SP811] "horsepower (metric)"
    Unit{"hp", " hp bhp whp ", Dimension::power, 550.0 * kPoundForce* kFoot},  // 745.6999 W [SP811] "550 ft.lbf/s"

    Unit{"V", " v volt volts ", Dimension::voltage},
    Unit{"mV", " mv ", Dimension::voltage, 1.0, 1e3},

    Unit{"mm", " mm ", Dimension::length, 1.0, 1e3},
    Unit{"m", " m meter metre ", Dimension::length},
    Unit{"km", " km ", Dimension::length, 1e3},
    Unit{"ft", " ft feet ", Dimension::length, kFoot},
};

struct Sign {
    std::string_view bytes;
    std::string_view plain;
};

// Longest first: a Latin-1 degree sign is the second byte of the UTF-8 one.
constexpr Sign kSigns[] = {
    {"\xE2\x84\x83", "degc"},
    {"\xE2\x84\x89", "degf"},
    {"\xE2\x81\xBB\xC2\xB9", "-1"},
    {"\xE2\x8B\x85", ""},
    {"\xC2\xB0", "deg"},
    {"\xC2\xBA", "deg"},
    {"\xC2\xB5", "u"},
    {"\xCE\xBC", "u"},
    {"\xCE\xBB", "lambda"},
    {"\xC2\xB7", ""},
    {"\xC2\xB2", "2"},
    {"\xC2\xA0", ""},
    {"\xB0", "deg"},
    {"\xBA", "deg"},
    {"\xB5", "u"},
    {"\xB7", ""},
    {"\xB2", "2"},
    {"\xA0", ""},
    {" ", ""},
    {".", ""},
    {"*", ""},
    {"_", ""},
};

/// Lower case ASCII without spaces, dots and signs that loggers put in or leave out.
std::string tidy(std::string_view text) {
    std::string plain;
    while (!text.empty()) {
        const auto* sign = std::ranges::find_if(kSigns, [&](const Sign& s) { return text.starts_with(s.bytes); });
        if (sign != std::end(kSigns)) {
            plain += sign->plain;
            text.remove_prefix(sign->bytes.size());
            continue;
        }
        const char c = text.front();
        plain += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        text.remove_prefix(1);
    }
    return plain;
}

constexpr std::size_t kLongestUnit = 40;  // bytes; longer text is prose

const Unit* find_unit(std::string_view text) {
    if (text.empty() || text.size() > kLongestUnit) return nullptr;
    const std::string plain = tidy(text);
    if (plain.empty()) return nullptr;
    const std::string wanted = " " + plain + " ";
    const auto* unit = std::ranges::find_if(kUnits, [&](const Unit& u) { return u.spellings.contains(wanted); });
    return unit == kUnits.end() ? nullptr : unit;
}

bool is_whole(double x) { return x == std::round(x); }

}  // namespace

std::optional<UnitConversion> conversion(std::string_view from, std::string_view to) {
    const Unit* a = find_unit(from);
    const Unit* b = find_unit(to);
    if (a == nullptr || b == nullptr || a->dimension != b->dimension) return std::nullopt;
    if (a == b) return UnitConversion{};
    const double up = a->multiply * b->divide;
    const double down = a->divide * b->multiply;
    UnitConversion ratio{a->zero, up, down, b->zero};
    if (is_whole(up / down))
        ratio.multiply = up / down, ratio.divide = 1.0;
    else if (is_whole(down / up))
        ratio.multiply = 1.0, ratio.divide = down / up;
    return ratio;
}

bool known_unit(std::string_view text) { return find_unit(text) != nullptr; }

std::string_view canonical_unit(std::string_view text) {
    const Unit* unit = find_unit(text);
    return unit == nullptr ? std::string_view{} : unit->name;
}

}  // namespace revwright
