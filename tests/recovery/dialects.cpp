#include "recovery/dialects.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <vector>

namespace revwright {
namespace {

constexpr double kPetrolRatio = 14.572;  // of CH1.85, 40 CFR 1065.655 table 1 and 20.95 % oxygen
constexpr std::size_t kSlowEvery = 5;

struct Wording {
    Signal signal;
    std::string_view english, german;
};

// Words of the trade, as loggers of no particular make use them.
constexpr std::array kWordings{
    Wording{Signal::engine_speed_rpm, "Engine speed", "Motordrehzahl"},
    Wording{Signal::pedal_pct, "Accelerator pedal position", "Fahrpedalstellung"},
    Wording{Signal::throttle_pct, "Throttle position", "Drosselklappenwinkel"},
    Wording{Signal::manifold_pressure_kpa, "Intake manifold absolute pressure", "Saugrohrdruck absolut"},
    Wording{Signal::boost_pressure_kpa, "Boost pressure actual", "Ladedruck Ist"},
    Wording{Signal::boost_target_kpa, "Boost pressure target", "Ladedruck Soll"},
    Wording{Signal::ambient_pressure_kpa, "Ambient pressure", "Umgebungsdruck"},
    Wording{Signal::ambient_temp_c, "Ambient temperature", "Umgebungstemperatur"},
    Wording{Signal::air_mass_flow_g_s, "Air mass flow", "Luftmassenstrom"},
    Wording{Signal::charge_pct, "Relative cylinder charge", "Relative Füllung"},
    Wording{Signal::lambda, "Lambda actual", "Lambda Ist"},
    Wording{Signal::lambda_target, "Lambda target", "Lambda Soll"},
    Wording{Signal::spark_deg, "Ignition timing", "Zündwinkel"},
    Wording{Signal::spark_base_deg, "Base ignition timing", "Grundzündwinkel"},
    Wording{Signal::knock_retard_deg, "Knock retard cylinder", "Zündwinkelrücknahme Zylinder"},
    Wording{Signal::intake_temp_c, "Intake air temperature", "Ansauglufttemperatur"},
    Wording{Signal::coolant_temp_c, "Coolant temperature", "Kühlmitteltemperatur"},
    Wording{Signal::oil_temp_c, "Engine oil temperature", "Motoröltemperatur"},
    Wording{Signal::exhaust_temp_c, "Exhaust gas temperature before turbine", "Abgastemperatur vor Turbine"},
    Wording{Signal::rail_pressure_mpa, "Fuel rail pressure actual", "Raildruck Ist"},
    Wording{Signal::rail_pressure_target_mpa, "Fuel rail pressure target", "Raildruck Soll"},
    Wording{Signal::injector_time_ms, "Injector pulse width", "Einspritzzeit"},
    Wording{Signal::wastegate_duty_pct, "Wastegate duty cycle", "Tastverhältnis Wastegate"},
    Wording{Signal::vehicle_speed_km_h, "Vehicle speed", "Fahrgeschwindigkeit"},
    Wording{Signal::gear, "Gear", "Gang"},
    Wording{Signal::torque_nm, "Engine torque actual", "Motormoment Ist"},
    Wording{Signal::torque_request_nm, "Engine torque requested", "Motormoment Soll"},
    Wording{Signal::trim_short_pct, "Short term fuel trim", "Kurzzeit-Kraftstofftrimmung"},
    Wording{Signal::trim_long_pct, "Long term fuel trim", "Langzeit-Kraftstofftrimmung"},
    Wording{Signal::battery_v, "Battery voltage", "Batteriespannung"},
    Wording{Signal::misfire_count, "Misfire counter", "Zähler Zündaussetzer"},
};

/// How one channel is written: physical = factor * canonical + offset, less the ambient pressure where it is gauge.
struct Written {
    std::string unit;
    double factor = 1.0, offset = 0.0;
    bool gauge = false;
};

bool is_pressure_before_engine(Signal signal) {
    return signal == Signal::boost_pressure_kpa || signal == Signal::boost_target_kpa;
}

Written pressure(const Dialect& dialect, Signal signal) {
    using enum Dialect::Measures;
    const bool ambient = signal == Signal::ambient_pressure_kpa || signal == Signal::manifold_pressure_kpa;
    switch (dialect.measures) {
        case bar_gauge:
            if (is_pressure_before_engine(signal)) return {"bar gauge", 0.01, 0.0, true};
            return {"bar", 0.01};
        case imperial:
            if (ambient) return {"kPa", 1.0};
            return {"psi", 1.0 / 6.894757293168};
        case millibar:
            return {"mbar", 10.0};
        case metric:
            break;
    }
    return {"kPa"};
}

Written writing(const Dialect& dialect, Signal signal) {
    const bool imperial = dialect.measures == Dialect::Measures::imperial;
    const std::string_view unit = info(signal).unit;
    if (unit == "kPa") return pressure(dialect, signal);
    if (unit == "MPa") return {"bar", 10.0};
    if (unit == "C" && imperial) return {"°F", 1.8, 32.0};
    if (unit == "C") return {"°C"};
    if (unit == "km/h" && imperial) return {"mph", 1.0 / 1.609344};
    if (unit == "g/s" && dialect.measures == Dialect::Measures::millibar) return {"kg/h", 3.6};
    if (unit == "deg" && dialect.retard_negative && signal == Signal::knock_retard_deg) return {"°KW", -1.0};
    if (unit == "deg") return {dialect.names == Dialect::Names::german ? "°KW" : "deg"};
    if (unit == "rpm") return {dialect.names == Dialect::Names::german ? "1/min" : "rpm"};
    if (dialect.air_fuel_ratio && (signal == Signal::lambda || signal == Signal::lambda_target))
        return {"", kPetrolRatio};
    return {unit == "1" ? "" : std::string(unit)};
}

std::string wording(const Dialect& dialect, ChannelKey key) {
    if (dialect.names == Dialect::Names::canonical) return to_string(key);
    const auto row = std::ranges::find(kWordings, key.signal, &Wording::signal);
    const bool german = dialect.names == Dialect::Names::german;
    std::string name(german ? row->german : row->english);
    if (dialect.air_fuel_ratio && key.signal == Signal::lambda) name = "Air fuel ratio actual";
    if (dialect.air_fuel_ratio && key.signal == Signal::lambda_target) name = "Air fuel ratio target";
    return key.part == 0 ? name : fmt::format("{} {}", name, key.part);
}

std::string header_cell(const Dialect& dialect, std::string name, const std::string& unit) {
    if (!unit.empty() && dialect.units == Dialect::Units::square) name += " [" + unit + "]";
    if (!unit.empty() && dialect.units == Dialect::Units::round)
        name += (dialect.broken_header ? "\n(" : " (") + unit + ")";
    return dialect.quoted || dialect.broken_header ? '"' + name + '"' : name;
}

std::string number(const Dialect& dialect, double value) {
    std::string text = fmt::format("{:.8g}", value);
    if (dialect.decimal != '.') std::ranges::replace(text, '.', dialect.decimal);
    return text;
}

bool is_slow(Signal signal) {
    using enum Signal;
    constexpr std::array kSlow{ambient_pressure_kpa, ambient_temp_c, coolant_temp_c, oil_temp_c, battery_v};
    return std::ranges::find(kSlow, signal) != kSlow.end();
}

std::string clock(const Dialect& dialect, double seconds) {
    const auto ms = std::llround(seconds * 1e3) + 38'700'000LL;  // the drive began at a quarter to eleven
    return fmt::format("{:02}:{:02}:{:02}{}{:03}", ms / 3'600'000, ms / 60'000 % 60, ms / 1000 % 60, dialect.decimal,
                       ms % 1000);
}

class Writer {
public:
    Writer(const Dialect& dialect, const Log& log) : dialect_(dialect), log_(log) {
        const Channel* ambient = log.find(Signal::ambient_pressure_kpa);
        if (ambient) ambient_ = ambient->values;
        for (const Channel& channel : log.channels)
            if (!is_slow(channel.key->signal)) order_.push_back(&channel);
        fast_ = order_.size();
        for (const Channel& channel : log.channels)
            if (is_slow(channel.key->signal)) order_.push_back(&channel);
    }

    std::string run() {
        if (dialect_.preamble) preamble();
        header();
        if (dialect_.units == Dialect::Units::row) unit_row();
        for (std::size_t row = 0; row < log_.time_bases[0].seconds.size(); ++row) data_row(row);
        return std::move(text_);
    }

private:
    bool grouped() const { return dialect_.time == Dialect::Time::per_group; }

    void preamble() {
        for (const std::string_view line :
             {"Messung 14", "Fahrer;I. Marrant", "Ort;Prüfgelände Nord", "Abtastung;20 Hz"})
            text_ += std::string(line) + std::string(dialect_.line_end);
        text_ += dialect_.line_end;
    }

    void put(std::string_view cell) {
        if (!line_.empty() || begun_) line_ += dialect_.delimiter;
        begun_ = true;
        line_ += cell;
    }
    void end_line() {
        if (dialect_.trailing) line_ += dialect_.delimiter;
        text_ += line_ + std::string(dialect_.line_end);
        line_.clear();
        begun_ = false;
    }

    std::string time_name() const {
        const bool german = dialect_.names == Dialect::Names::german;
        if (dialect_.names == Dialect::Names::canonical) return "time_s";
        return german ? "Zeit" : "Time";
    }
    std::string time_unit() const {
        if (dialect_.names == Dialect::Names::canonical || dialect_.time == Dialect::Time::clock) return "";
        return dialect_.time == Dialect::Time::milliseconds ? "ms" : "s";
    }
    std::string time_cell(double seconds) const {
        if (dialect_.time == Dialect::Time::clock) return clock(dialect_, seconds);
        return number(dialect_, dialect_.time == Dialect::Time::milliseconds ? std::round(seconds * 1e3) : seconds);
    }

    void header() {
        put(header_cell(dialect_, time_name(), time_unit()));
        for (std::size_t i = 0; i < order_.size(); ++i) {
            if (grouped() && i == fast_) put(header_cell(dialect_, time_name(), time_unit()));
            const ChannelKey key = *order_[i]->key;
            put(header_cell(dialect_, wording(dialect_, key), writing(dialect_, key.signal).unit));
        }
        end_line();
    }

    void unit_row() {
        put(time_unit());
        for (const Channel* channel : order_) put(writing(dialect_, channel->key->signal).unit);
        end_line();
    }

    std::string value_cell(const Channel& channel, std::size_t row) const {
        const Written written = writing(dialect_, channel.key->signal);
        const double gauge = written.gauge ? channel.values[row] - ambient_[row] : channel.values[row];
        std::string cell = number(dialect_, written.factor * gauge + written.offset);
        if (dialect_.units == Dialect::Units::in_cells && !written.unit.empty()) cell += " " + written.unit;
        return dialect_.quoted ? '"' + cell + '"' : cell;
    }

    void data_row(std::size_t row) {
        const std::vector<double>& times = log_.time_bases[0].seconds;
        put(time_cell(times[row]));
        for (std::size_t i = 0; i < fast_; ++i) put(value_cell(*order_[i], row));
        // The slow group has its own rows, which end earlier, or blanks between its samples.
        const std::size_t slow_row = grouped() ? row * kSlowEvery : row;
        const bool there = slow_row < times.size() && (!dialect_.slow_as_blanks || row % kSlowEvery == 0);
        if (grouped()) put(there ? time_cell(times[slow_row]) : "");
        for (std::size_t i = fast_; i < order_.size(); ++i) put(there ? value_cell(*order_[i], slow_row) : "");
        end_line();
    }

    const Dialect& dialect_;
    const Log& log_;
    std::vector<double> ambient_;
    std::vector<const Channel*> order_;
    std::size_t fast_ = 0;
    std::string text_, line_;
    bool begun_ = false;
};

/// UTF-8 text of the basic plane as code units.
std::vector<unsigned> code_points(std::string_view text) {
    std::vector<unsigned> points;
    for (std::size_t i = 0; i < text.size();) {
        const auto lead = static_cast<unsigned char>(text[i]);
        const std::size_t length = lead < 0x80 ? 1 : lead < 0xE0 ? 2 : 3;
        unsigned point = length == 1 ? lead : lead & (0x3FU >> (length - 1));
        for (std::size_t k = 1; k < length; ++k) point = point << 6 | (static_cast<unsigned char>(text[i + k]) & 0x3FU);
        points.push_back(point);
        i += length;
    }
    return points;
}

std::string encoded(const std::string& text, Dialect::Text as) {
    if (as == Dialect::Text::utf8) return text;
    if (as == Dialect::Text::utf8_with_mark) return "\xEF\xBB\xBF" + text;
    std::string bytes = as == Dialect::Text::utf16 ? "\xFF\xFE" : "";
    for (const unsigned point : code_points(text)) {
        bytes += static_cast<char>(point & 0xFF);
        if (as == Dialect::Text::utf16) bytes += static_cast<char>(point >> 8);
    }
    return bytes;
}

}  // namespace

std::span<const Dialect> ten_dialects() {
    using D = Dialect;
    static const std::array<Dialect, 10> list{
        D{.name = "canonical"},
        D{.name = "german, decimal comma, Latin-1",
          .delimiter = ';',
          .decimal = ',',
          .text = D::Text::latin1,
          .names = D::Names::german,
          .units = D::Units::square},
        D{.name = "english, tab, UTF-16",
          .delimiter = '\t',
          .text = D::Text::utf16,
          .names = D::Names::english,
          .units = D::Units::round},
        D{.name = "english, imperial, row of units",
          .text = D::Text::utf8_with_mark,
          .names = D::Names::english,
          .units = D::Units::row,
          .measures = D::Measures::imperial},
        D{.name = "german, clock time below metadata",
          .delimiter = ';',
          .decimal = ',',
          .names = D::Names::german,
          .units = D::Units::square,
          .time = D::Time::clock,
          .preamble = true,
          .line_end = "\r\n"},
        D{.name = "english, milliseconds, all quoted, trailing delimiter",
          .names = D::Names::english,
          .units = D::Units::square,
          .time = D::Time::milliseconds,
          .quoted = true,
          .trailing = true},
        D{.name = "english, a time column per group",
          .delimiter = ';',
          .names = D::Names::english,
          .units = D::Units::square,
          .time = D::Time::per_group},
        D{.name = "german, blanks for slow channels, mbar and kg/h",
          .delimiter = ';',
          .decimal = ',',
          .names = D::Names::german,
          .units = D::Units::round,
          .measures = D::Measures::millibar,
          .slow_as_blanks = true},
        D{.name = "english, line breaks in the header, gauge, negative retard",
          .names = D::Names::english,
          .units = D::Units::round,
          .measures = D::Measures::bar_gauge,
          .retard_negative = true,
          .broken_header = true},
        D{.name = "english, units in the cells, air-fuel ratio",
          .delimiter = ';',
          .names = D::Names::english,
          .units = D::Units::in_cells,
          .air_fuel_ratio = true},
    };
    return list;
}

std::string written_in(const Dialect& dialect, const Log& log) {
    return encoded(Writer(dialect, log).run(), dialect.text);
}

}  // namespace revwright
