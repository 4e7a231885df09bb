#include "naming/wordings.h"

#include <algorithm>
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <string>

namespace revwright {
namespace {

/// What the words alone say: the canonical names at the best strength, "?..." where it is only asked.
std::string said_by(std::string_view name) {
    const auto matches = match_words(read_name(name));
    if (matches.empty()) return "";
    const Strength best = std::ranges::max(matches, {}, &WordMatch::strength).strength;
    std::string said = best == Strength::ask ? "?" : "";
    for (const WordMatch& match : matches)
        if (match.strength == best) said += (said.empty() || said == "?" ? "" : "|") + to_string(match.key);
    return said;
}

struct Row {
    const char* name;
    const char* is;
};

// Wordings of the trade, English and German, and the mode 01 parameters of SAE J1979 as words (from memory). Common
// practice, no source.
constexpr Row kWordings[] = {
    {"Motordrehzahl", "engine_speed_rpm"},
    {"Drehzahl", "engine_speed_rpm"},
    {"n", "engine_speed_rpm"},
    {"nMot", "engine_speed_rpm"},
    {"ENGINE_RPM ()", "engine_speed_rpm"},
    {"Engine Speed", "engine_speed_rpm"},
    {"engineSpeed", "engine_speed_rpm"},
    {"RPM", "engine_speed_rpm"},
    {"Motordrehzahl Soll", ""},
    {"Leerlaufdrehzahl", ""},
    {"Leerlaufsolldrehzahl", ""},
    {"RPM max", ""},
    {"Turboladerdrehzahl", "turbo_speed_rpm"},
    {"Turbo Speed", "turbo_speed_rpm"},
    {"Turbine speed", "turbo_speed_rpm|gearbox_input_rpm"},
    {"Getriebeeingangsdrehzahl", "gearbox_input_rpm"},
    {"Transmission input speed", "gearbox_input_rpm"},
    {"Raddrehzahl vorne links", ""},
    {"Kühlerlüfter Drehzahl", ""},
    {"Pedalwert", "pedal_pct"},
    {"Fahrpedalstellung", "pedal_pct"},
    {"Accelerator pedal position", "pedal_pct"},
    {"PEDAL_D ()", "pedal_pct"},
    {"PEDAL_E ()", "?pedal_pct"},
    {"Bremspedal", ""},
    {"Clutch pedal position", ""},
    {"Drosselklappe", "throttle_pct"},
    {"Drosselklappenstellung", "throttle_pct"},
    {"THROTTLE ()", "throttle_pct"},
    {"Throttle Position", "throttle_pct"},
    {"ABSOLUTE_THROTTLE_B ()", "?throttle_pct"},
    {"RELATIVE_THROTTLE_POSITION ()", "?throttle_pct"},
    {"COMMANDED_THROTTLE_ACTUATOR ()", ""},
    {"Ladedruck", "boost_pressure_kpa"},
    {"Ladedruck rel.", "boost_pressure_kpa"},
    {"Ladedruck Ist", "boost_pressure_kpa"},
    {"LadedruckSoll", "boost_target_kpa"},
    {"Boost (actual)", "boost_pressure_kpa"},
    {"boost.target", "boost_target_kpa"},
    {"Boost pressure specified", "boost_target_kpa"},
    {"Boost setpoint", "boost_target_kpa"},
    {"Charge pressure", "boost_pressure_kpa"},
    {"Druck vor Drosselklappe", "boost_pressure_kpa"},
    {"Druck nach Drosselklappe", "manifold_pressure_kpa"},
    {"Ladedruck Regelabweichung", ""},
    {"Saugrohrdruck", "manifold_pressure_kpa"},
    {"MAP", "manifold_pressure_kpa"},
    {"INTAKE_MANIFOLD_PRESSURE ()", "manifold_pressure_kpa"},
    {"Manifold absolute pressure", "manifold_pressure_kpa"},
    {"Umgebungsdruck", "ambient_pressure_kpa"},
    {"ABSOLUTE_BAROMETRIC_PRESSURE ()", "ambient_pressure_kpa"},
    {"Luftdruck", "ambient_pressure_kpa"},
    {"Umgebungstemperatur", "ambient_temp_c"},
    {"Außentemperatur", "ambient_temp_c"},
    {"Ambient air temperature", "ambient_temp_c"},
    {"Luftmassenstrom", "air_mass_flow_g_s"},
    {"MAF", "air_mass_flow_g_s"},
    {"Mass air flow rate", "air_mass_flow_g_s"},
    {"Luftmasse", "air_mass_flow_g_s|air_per_stroke_mg"},
    {"Luftmasse pro Hub", "air_per_stroke_mg"},
    {"relative Füllung", "charge_pct"},
    {"Absolute load value", "charge_pct"},
    {"ENGINE_LOAD ()", "?charge_pct"},
    {"Lambda", "lambda"},
    {"λ", "lambda"},
    {"Lambda Ist", "lambda"},
    {"Lambda Soll", "lambda_target"},
    {"Lambda Bank 1", "lambda.1"},
    {"Lambda 2", "lambda.2"},
    {"O2 lambda B1S1", "lambda.1"},
    {"O2 lambda B1S2", ""},
    {"Lambdasondenspannung", ""},
    {"Lambda vor Kat", "lambda"},
    {"Lambda nach Kat", ""},
    {"AFR", "lambda"},
    {"Air/Fuel Ratio", "lambda"},
    {"AFR target", "lambda_target"},
    {"FUEL_AIR_COMMANDED_EQUIV_RATIO ()", "lambda_target"},
    {"Zündwinkel", "spark_deg"},
    {"Z\xFCndwinkel", "spark_deg"},
    {"Zuendwinkel Ist", "spark_deg"},
    {"Ignition timing", "spark_deg"},
    {"TIMING_ADVANCE ()", "spark_deg"},
    {"Zündwinkel Zylinder 3", "?spark_deg"},
    {"Grundzündwinkel", "spark_base_deg"},
    {"Base timing", "spark_base_deg"},
    {"Injection timing", ""},
    {"Camshaft advance", ""},
    {"Klopfrücknahme Zylinder 2", "knock_retard_deg.2"},
    {"Zündwinkelrücknahme Zyl. 1", "knock_retard_deg.1"},
    {"Zündwinkelrücknahme 4. Zylinder", "knock_retard_deg.4"},
    {"Knock retard", "knock_retard_deg"},
    {"Timing correction cylinder 1", "knock_retard_deg.1"},
    {"KnockRetardCyl3", "knock_retard_deg.3"},
    {"Timing correction", "?knock_retard_deg"},
    {"Knock sensor voltage", ""},
    {"Klopfpegel Zylinder 1", ""},
    {"Knock count", ""},
    {"Ansauglufttemperatur", "intake_temp_c"},
    {"IAT", "intake_temp_c"},
    {"INTAKE_AIR_TEMP ()", "intake_temp_c"},
    {"Ladelufttemperatur", "intake_temp_c"},
    {"Charge air temperature", "intake_temp_c"},
    {"Temperatur vor Ladeluftkühler", ""},
    {"Kühlmitteltemperatur", "coolant_temp_c"},
    {"ECT", "coolant_temp_c"},
    {"COOLANT_TEMPERATURE ()", "coolant_temp_c"},
    {"Öltemperatur", "oil_temp_c"},
    {"Engine oil temp", "oil_temp_c"},
    {"Öldruck", ""},
    {"Getriebeöltemperatur", ""},
    {"Hinterachsöltemperatur", ""},
    {"Sperren-Öltemperatur", "?oil_temp_c"},
    {"Abgastemperatur", "exhaust_temp_c"},
    {"EGT", "exhaust_temp_c"},
    {"Exhaust gas temperature after turbine", "exhaust_temp_c"},
    {"Abgastemperatur Modell", "exhaust_temp_modelled_c"},
    {"CATALYST_TEMPERATURE_BANK1_SENSOR1 ()", ""},
    {"Abgasgegendruck", "exhaust_pressure_kpa"},
    {"Raildruck", "rail_pressure_mpa"},
    {"Raildruck Soll", "rail_pressure_target_mpa"},
    {"Kraftstoffhochdruck", "rail_pressure_mpa"},
    {"Kraftstoffniederdruck", "fuel_pressure_low_kpa"},
    {"Fuel pressure", "rail_pressure_mpa|fuel_pressure_low_kpa"},
    {"Einspritzzeit", "injector_time_ms"},
    {"Injector pulse width", "injector_time_ms"},
    {"Tastverhältnis Wastegate", "wastegate_duty_pct"},
    {"Wastegate duty cycle", "wastegate_duty_pct"},
    {"Fahrgeschwindigkeit", "vehicle_speed_km_h"},
    {"VEHICLE_SPEED ()", "vehicle_speed_km_h"},
    {"Speed", "engine_speed_rpm|vehicle_speed_km_h"},
    {"GPS speed", "gnss_speed_km_h"},
    {"Gang", "gear"},
    {"Gang Soll", ""},
    {"Selected gear", "gear"},
    {"Moment Ist", "torque_nm"},
    {"Motordrehmoment", "torque_nm"},
    {"Moment Soll", "torque_request_nm"},
    {"Torque request", "torque_request_nm"},
    {"Reibmoment", ""},
    {"Max. torque", ""},
    {"SHORT_TERM_FUEL_TRIM_BANK_1 ()", "trim_short_pct"},
    {"STFT B1", "trim_short_pct"},
    {"Long term fuel trim - bank 2", "?trim_long_pct"},
    {"Langzeitanpassung", "trim_long_pct"},
    {"Kurzzeit-Kraftstofftrimmung", "trim_short_pct"},
    {"CONTROL_MODULE_VOLTAGE ()", "battery_v"},
    {"Batteriespannung", "battery_v"},
    {"Zündaussetzer", "misfire_count"},
    {"Misfire count cylinder 2", "misfire_count.2"},
    {"FUEL_TANK ()", ""},
    {"Fuel tank level", ""},
    {"COMMANDED_EVAPORATIVE_PURGE ()", ""},
    {"ENGINE_RUN_TINE ()", ""},
    {"TIME_SINCE_TROUBLE_CODES_CLEARED ()", ""},
    {"Lenkwinkel", ""},
    {"Querbeschleunigung", ""},
    {"", ""},
    {"%$&/()", ""},
};

TEST(Wordings, EachNameSaysWhatItIsOrNothing) {
    for (const auto& [name, is] : kWordings) EXPECT_EQ(said_by(name), is) << name;
    EXPECT_GE(std::size(kWordings), 80u);
}

TEST(Wordings, TellGaugeAndTheSideOfTheTurbine) {
    const auto only = [](std::string_view name) { return match_words(read_name(name)).at(0); };
    EXPECT_TRUE(only("Ladedruck rel.").gauge);
    EXPECT_TRUE(only("Boost pressure (gauge)").gauge);
    EXPECT_FALSE(only("Ladedruck").gauge);
    EXPECT_TRUE(only("Manifold absolute pressure").absolute);
    EXPECT_TRUE(only("Abgastemperatur vor Turbine").before_turbine);
    EXPECT_FALSE(only("Abgastemperatur nach Turbolader").before_turbine);
    EXPECT_FALSE(only("EGT before catalyst").before_turbine);
    EXPECT_TRUE(only("Zündwinkel nach OT").after_dead_centre);
    EXPECT_FALSE(only("Zündwinkel vor OT").after_dead_centre);
}

TEST(Wordings, AnyBytesAreAName) {
    for (const std::string& name : {std::string(100'000, 'n'), std::string("\xFF\xC3\x00\xB0", 4),
                                    std::string("1 2 3 4 5"), std::string("o2"), std::string("cyl 99999999999")})
        EXPECT_LT(match_words(read_name(name)).size(), 5u);
}

}  // namespace
}  // namespace revwright
