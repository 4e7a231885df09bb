#include "naming/wording_rows.h"

namespace revwright {
namespace {

using enum Signal;
using enum Strength;

// clang-format off
constexpr Wording kWordings[] = {
    {engine_speed_rpm, strong, "revs", "engine speed actual crank"},
    {engine_speed_rpm, strong, "engine speed", "actual crank"},
    {engine_speed_rpm, second, "crank speed", "shaft"},
    {engine_speed_rpm, weak, "speed", "actual"},

    {pedal_pct, strong, "pedal", "position actual"},
    {pedal_pct, second, "pedal", "position actual relative absolute angle"},
    {pedal_pct, ask, "pedal", "position actual driver request relative modelled raw"},

    {throttle_pct, strong, "throttle", "position actual plate angle"},
    {throttle_pct, second, "throttle", "position actual plate angle absolute"},
    {throttle_pct, ask, "throttle", "position actual plate angle relative actuator raw modelled"},

    {manifold_pressure_kpa, strong, "manifold pressure", "intake absolute relative actual air"},
    {manifold_pressure_kpa, strong, "pressure after throttle", "absolute relative actual plate"},
    {manifold_pressure_kpa, second, "intake pressure", "absolute relative actual air"},
    {manifold_pressure_kpa, ask, "manifold vacuum", "intake relative absolute actual"},
    {manifold_pressure_kpa, ask, "manifold pressure", "intake absolute relative actual air modelled"},

    {boost_pressure_kpa, strong, "boost", "pressure absolute relative actual turbo"},
    {boost_pressure_kpa, strong, "charge pressure", "air absolute relative actual turbo"},
    {boost_pressure_kpa, strong, "pressure before throttle", "absolute relative actual plate boost charge air"},
    {boost_pressure_kpa, second, "turbo pressure", "absolute relative actual"},
    {boost_pressure_kpa, ask, "boost", "pressure absolute relative actual turbo manifold intake modelled raw"},

    {boost_target_kpa, strong, "boost target", "pressure absolute relative turbo"},
    {boost_target_kpa, strong, "boost request", "pressure absolute relative turbo"},
    {boost_target_kpa, strong, "charge pressure target", "air absolute relative turbo"},
    {boost_target_kpa, strong, "charge pressure request", "air absolute relative turbo"},
    {boost_target_kpa, ask, "manifold pressure target", "intake absolute relative"},

    {ambient_pressure_kpa, strong, "ambient pressure", "air absolute actual baro"},
    {ambient_pressure_kpa, strong, "baro", "pressure ambient air absolute actual"},

    {ambient_temp_c, strong, "ambient temperature", "air actual"},

    {air_mass_flow_g_s, strong, "air mass flow", "actual intake"},
    {air_mass_flow_g_s, weak, "air mass", "actual intake"},
    {air_mass_flow_g_s, weak, "air flow", "actual intake"},
    {air_mass_flow_g_s, ask, "air mass flow", "actual intake engine modelled manifold throttle"},

    {charge_pct, strong, "filling", "relative air actual"},
    {charge_pct, strong, "load absolute", "engine actual"},
    {charge_pct, second, "load relative", "engine actual"},
    {charge_pct, second, "charge relative", "air actual"},
    {charge_pct, ask, "load", "engine actual modelled"},
    {charge_pct, ask, "charge", "air actual"},
    {charge_pct, ask, "charge load", "air actual relative engine"},
    {charge_pct, ask, "filling", "relative air actual modelled"},

    {air_per_stroke_mg, strong, "air mass stroke", "per actual intake cylinder"},
    {air_per_stroke_mg, strong, "air mass per cylinder", "actual stroke intake"},
    {air_per_stroke_mg, strong, "air stroke", "per actual filling cylinder"},
    {air_per_stroke_mg, weak, "air mass", "actual intake cylinder"},
    {air_per_stroke_mg, weak, "filling", "actual air cylinder"},

    {lambda, strong, "lambda", "actual probe oxygen wideband air fuel ratio gas exhaust"},
    {lambda, strong, "lambda before catalyst", "actual probe oxygen wideband"},
    {lambda, strong, "wideband", "lambda actual probe oxygen afr"},
    {lambda, strong, "afr", "actual wideband probe lambda oxygen"},
    {lambda, strong, "air fuel ratio", "actual wideband probe afr lambda oxygen"},
    {lambda, second, "equivalence", "ratio lambda oxygen probe actual wideband air fuel"},

    {lambda_target, strong, "lambda target", "air fuel ratio"},
    {lambda_target, strong, "lambda request", "air fuel ratio"},
    {lambda_target, strong, "afr target", "air fuel lambda"},
    {lambda_target, strong, "air fuel ratio target", "afr"},
    {lambda_target, strong, "equivalence target", "ratio lambda air fuel"},
    {lambda_target, ask, "lambda target", "air fuel ratio component driver base"},

    {spark_deg, strong, "ignition angle", "actual timing advance btdc tdc before atdc after"},
    {spark_deg, strong, "ignition timing", "actual angle advance btdc tdc before atdc after"},
    {spark_deg, strong, "ignition advance", "actual angle timing btdc tdc before"},
    {spark_deg, strong, "timing advance", "actual angle ignition btdc tdc before"},
    {spark_deg, weak, "timing", "actual angle btdc"},
    {spark_deg, weak, "ignition", "actual btdc"},
    {spark_deg, ask, "ignition angle", "actual timing advance cylinder target request engine modelled every"},
    {spark_deg, ask, "ignition timing", "actual angle advance cylinder target request engine modelled every"},
    {spark_deg, ask, "timing advance", "actual angle ignition cylinder target request modelled every"},

    {spark_base_deg, strong, "ignition angle base", "timing advance btdc"},
    {spark_base_deg, strong, "ignition base", "timing advance angle btdc"},
    {spark_base_deg, strong, "timing base", "ignition advance angle btdc"},
    {spark_base_deg, ask, "ignition angle", "timing advance base target request"},

    {knock_retard_deg, strong, "knock retard", "ignition angle timing cylinder control actual"},
    {knock_retard_deg, strong, "knock correction", "ignition angle timing cylinder control retard actual"},
    {knock_retard_deg, second, "ignition retard", "angle timing cylinder actual"},
    {knock_retard_deg, second, "timing retard", "ignition angle cylinder actual"},
    {knock_retard_deg, second, "timing correction cylinder", "ignition angle advance retard"},
    {knock_retard_deg, second, "ignition correction cylinder", "timing angle advance retard"},
    {knock_retard_deg, weak, "retard", "cylinder"},
    {knock_retard_deg, ask, "timing correction", "ignition angle advance retard cylinder"},
    {knock_retard_deg, ask, "ignition correction", "timing angle advance retard cylinder"},
    {knock_retard_deg, ask, "knock control", "cylinder ignition angle"},
    {knock_retard_deg, ask, "knock", "cylinder"},

    {intake_temp_c, strong, "charge air temperature", "intake actual manifold cooler after"},
    {intake_temp_c, strong, "charge temperature", "air intake actual cooler after"},
    {intake_temp_c, strong, "manifold temperature", "intake air actual"},
    {intake_temp_c, second, "intake temperature", "air actual"},
    {intake_temp_c, second, "temperature after cooler", "charge air actual intake"},
    {intake_temp_c, ask, "air temperature", "actual"},

    {coolant_temp_c, strong, "coolant temperature", "engine actual"},
    {coolant_temp_c, ask, "engine temperature", "actual"},

    {oil_temp_c, strong, "oil temperature", "engine actual"},
    {oil_temp_c, ask, "engine temperature", "actual"},

    {exhaust_temp_c, strong, "exhaust temperature", "gas actual before after turbine turbo"},
    {exhaust_temp_c, second, "exhaust temperature", "gas actual before catalyst"},
    {exhaust_temp_c, second, "turbine temperature before", "gas exhaust actual intake input"},
    {exhaust_temp_c, ask, "exhaust temperature", "gas actual before after turbine turbo manifold cylinder"},

    {exhaust_temp_modelled_c, strong, "exhaust temperature modelled", "gas before turbine turbo"},

    {exhaust_pressure_kpa, strong, "exhaust pressure", "gas back absolute relative before turbine turbo manifold actual"},

    {turbo_speed_rpm, strong, "turbo revs", "speed actual shaft"},
    {turbo_speed_rpm, strong, "turbo speed", "revs actual shaft"},
    {turbo_speed_rpm, weak, "turbine speed", "revs actual shaft"},
    {turbo_speed_rpm, weak, "turbine revs", "speed actual shaft"},
    {turbo_speed_rpm, strong, "compressor revs", "speed actual turbo shaft"},

    {rail_pressure_mpa, strong, "rail pressure", "fuel actual high absolute relative injection"},
    {rail_pressure_mpa, strong, "fuel high pressure", "rail actual absolute relative injection"},
    {rail_pressure_mpa, weak, "fuel pressure", "actual absolute relative injection"},
    {rail_pressure_mpa, ask, "high pressure", "actual pump fuel"},

    {rail_pressure_target_mpa, strong, "rail pressure target", "fuel high absolute relative injection"},
    {rail_pressure_target_mpa, strong, "rail pressure request", "fuel high absolute relative injection"},
    {rail_pressure_target_mpa, strong, "fuel high pressure target", "rail absolute relative"},
    {rail_pressure_target_mpa, weak, "fuel pressure target", "absolute relative"},

    {fuel_pressure_low_kpa, strong, "fuel low pressure", "actual absolute relative feed pump"},
    {fuel_pressure_low_kpa, strong, "fuel pressure feed", "actual absolute relative pump low"},
    {fuel_pressure_low_kpa, weak, "fuel pressure", "actual absolute relative pump"},
    {fuel_pressure_low_kpa, weak, "rail pressure", "fuel actual absolute relative"},  // of a port-injected engine
    {fuel_pressure_low_kpa, ask, "low pressure", "actual pump fuel"},

    {injector_time_ms, strong, "injection time", "actual injector on fuel pulse width"},
    {injector_time_ms, strong, "injector time", "actual injection on fuel pulse width"},
    {injector_time_ms, strong, "injector pulse", "actual width time fuel"},
    {injector_time_ms, strong, "injection pulse", "actual width time fuel"},
    {injector_time_ms, weak, "pulse width", "fuel actual"},

    {wastegate_duty_pct, strong, "wastegate duty", "cycle boost control actual solenoid valve target request"},
    {wastegate_duty_pct, strong, "boost control duty", "cycle pressure actual solenoid valve wastegate"},
    {wastegate_duty_pct, strong, "boost solenoid duty", "cycle pressure actual control valve wastegate"},
    {wastegate_duty_pct, second, "boost duty", "cycle pressure actual control solenoid valve wastegate"},
    {wastegate_duty_pct, ask, "wastegate", "position actual control cycle solenoid valve"},
    {wastegate_duty_pct, ask, "boost control", "pressure solenoid valve"},

    {vehicle_speed_km_h, strong, "vehicle speed", "actual"},
    {vehicle_speed_km_h, weak, "speed", "actual"},
    {vehicle_speed_km_h, ask, "wheel speed", "vehicle actual side axle every"},

    {gnss_speed_km_h, strong, "gps speed", "ground actual vehicle"},
    {gnss_speed_km_h, ask, "ground speed", "actual"},

    {heading_deg, strong, "heading", "gps actual angle ground"},
    {altitude_m, strong, "altitude", "gps actual"},

    {gear, strong, "gear", "actual position"},
    {gear, second, "gear", "actual position gearbox"},
    {gear, ask, "gearbox position", "actual"},

    {gearbox_input_rpm, strong, "gearbox input revs", "speed shaft actual"},
    {gearbox_input_rpm, strong, "gearbox input speed", "revs shaft actual turbine"},
    {gearbox_input_rpm, weak, "turbine speed", "revs gearbox actual shaft"},
    {gearbox_input_rpm, weak, "turbine revs", "speed gearbox actual shaft"},
    {gearbox_input_rpm, second, "gearbox turbine speed", "revs actual shaft input"},
    {gearbox_input_rpm, second, "gearbox turbine revs", "speed actual shaft input"},
    {gearbox_input_rpm, ask, "input shaft", "speed revs actual"},

    {torque_nm, strong, "torque", "engine actual crank"},
    {torque_nm, ask, "torque", "engine actual crank modelled clutch"},
    {torque_request_nm, strong, "torque target", "engine driver"},
    {torque_request_nm, strong, "torque request", "engine driver"},
    {torque_request_nm, ask, "torque target", "engine driver actual request indicated gearbox clutch"},
    {dyno_torque_nm, strong, "dyno torque", "actual engine"},

    {trim_short_pct, strong, "trim short", "fuel lambda mixture actual"},
    {trim_short_pct, strong, "short mixture adaption", "fuel"},
    {trim_short_pct, ask, "lambda control", "factor actual short"},
    {trim_short_pct, ask, "fuel trim", "actual"},
    {trim_short_pct, ask, "short adaption", "fuel"},
    {trim_long_pct, strong, "trim long", "fuel lambda mixture actual learned"},
    {trim_long_pct, strong, "long mixture adaption", "fuel"},
    {trim_long_pct, ask, "mixture adaption", "factor fuel actual"},
    {trim_long_pct, ask, "fuel trim", "actual learned"},
    {trim_long_pct, ask, "long adaption", "fuel"},

    {battery_v, strong, "battery voltage", "actual module control"},
    {battery_v, strong, "control module voltage", "actual feed"},
    {battery_v, second, "module voltage", "feed actual control"},
    {battery_v, second, "voltage feed", "actual"},
    {battery_v, weak, "battery", "actual"},

    {misfire_count, strong, "misfire", "count cylinder actual every"},
};
// clang-format on

}  // namespace

std::span<const Wording> all_wordings() { return kWordings; }

}  // namespace revwright
