#include "rig/simulation.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace revwright::rig {
namespace {

constexpr double kStep = 0.001;
constexpr int kAirEvery = 2;
constexpr int kActEvery = 10;
constexpr std::uint64_t kKnockStream = 6;
constexpr double kLowPressure = 500.0;  // kPa absolute

}  // namespace

Simulation::Simulation(SimulationParts parts)
    : parts_(std::move(parts)),
      fuel_(fuel_data(parts_.job.fuel)),
      random_(parts_.seed, kKnockStream),
      control_(parts_.car, parts_.air.cylinders),
      probe_(parts_.car) {
    air_.charge_temp_c = charge_seen_c_ = parts_.day.ambient_temp_c + 12.0;
    air_.cooler_temp_c = parts_.day.ambient_temp_c + 8.0;
    air_.boost_kpa = parts_.day.ambient_pressure_kpa;
    air_.exhaust_kpa = parts_.day.ambient_pressure_kpa + 1.0;
    if (parts_.cold_oil) oil_c_ = 62.0;
    if (parts_.faults.has("cold-start-lean")) coolant_c_ = oil_c_ = kColdStartC;
}

void Simulation::count_pulls() {
    const bool full = order_.mark == Mark::full;
    if (full && !full_load_) {
        ++pull_;
        arrived_ = overshooting_ = false;
    }
    full_load_ = full;
}

/// What passes the meter: less than the engine takes where air is drawn in behind it, more where boost is lost.
double Simulation::air_at_meter_kg_s() const {
    const double ambient = parts_.day.ambient_pressure_kpa;
    if (air_.manifold_kpa < 0.95 * ambient) return air_.air_flow_kg_s * (1.0 - parts_.air.part_load_leak);
    if (!parts_.faults.has("boost-leak")) return air_.air_flow_kg_s;
    return air_.air_flow_kg_s * (1.0 + kLeakShare * std::clamp((air_.boost_kpa - ambient) / 60.0, 0.0, 1.0));
}

void Simulation::act() {
    constexpr double kDt = kStep * kActEvery;
    order_ = parts_.driver.step(kDt, speed_m_s_, rpm_);
    count_pulls();
    effects_ = parts_.faults.effects(rpm_, full_load_ && order_.pedal_pct >= 90.0 ? pull_ : -1);
    const EngineSeen seen{
        .rpm = rpm_,
        .pedal_pct = order_.pedal_pct,
        .meter_raw_g_s = 1e3 * air_at_meter_kg_s() * parts_.car.meter_gain / parts_.air.meter_area_factor,
        .lambda_seen = probe_.reading(),
        .mean_retard_deg = control_.mean_retard_deg(),
        .coolant_c = coolant_c_,
        .oil_c = oil_c_,
        .speed_m_s = speed_m_s_,
        .gear = order_.gear,
        .clutch_open = order_.clutch_open || order_.standing,
        .intervention = order_.intervention,
        .boost_given_out = effects_.boost_given_out,
        .throttle_cap_pct = effects_.throttle_cap_pct};
    commands_ = parts_.unit.step(kDt, seen, air_, parts_.day);
    control_.recover(kDt);
    if (effects_.force_knock) {
        const int cylinder = parts_.faults.cylinder();
        control_.knocked(cylinder);
        knocks_.push_back({time_s_, cylinder + 1, rpm_});
    }
    rail_mpa_ += kDt / 0.08 * (commands_.rail_target_mpa * effects_.fuel_pressure_factor - rail_mpa_);
}

void Simulation::step_boost_and_air() {
    const double target = commands_.boost_target_kpa;
    AirInput in{.engine_speed_rpm = rpm_,
                .throttle_pct = commands_.throttle_pct,
                .wastegate_duty = commands_.wastegate_duty,
                .road_speed_m_s = speed_m_s_};
    // Shares fade between the boost there is and the faulty one, so that the window's edges are no steps.
    if (effects_.boost_low_share > 0.0)
        in.boost_ceiling_kpa =
            target + 4.0 - kBoostErrorKpa * effects_.boost_low_share + 20.0 * (1.0 - effects_.boost_low_share);
    if (effects_.boost_high_share > 0.0)
        in.boost_floor_kpa =
            target + 4.0 + kBoostErrorKpa * effects_.boost_high_share - 20.0 * (1.0 - effects_.boost_high_share);
    if (full_load_ && !arrived_ && air_.boost_kpa >= target - 4.0 && target > parts_.day.ambient_pressure_kpa + 30.0) {
        arrived_ = true;
        overshooting_ = parts_.faults.has("boost-overshoot");
    }
    if (overshooting_) {
        in.boost_floor_kpa = target + 34.0;
        if (air_.boost_kpa >= target + 20.0 || !full_load_) overshooting_ = false;
    }
    if (effects_.boost_swing_kpa > 0.0) {
        const double turn = kSwingHz * time_s_ + parts_.faults.swing_phase();
        in.boost_floor_kpa = in.boost_ceiling_kpa =
            target + 4.0 + effects_.boost_swing_kpa * std::sin(2.0 * std::numbers::pi * turn);
    }
    in.extra_charge_k = effects_.intake_share * kHotIntakeK;
    step_air(kAirEvery * kStep, in, parts_.air, parts_.car, parts_.day, air_);
}

/// Lambda of what burns now: the air there is against the fuel that the measured air asked for.
double Simulation::mixture() const {
    if (!commands_.fuel_on) return 4.0;
    const double air_error = 1e3 * air_.air_flow_kg_s / std::max(commands_.air_measured_g_s, 0.1);
    const double lambda = commands_.lambda_target * air_error / (parts_.car.injector_gain * commands_.fuel_factor) +
                          effects_.lambda_offset + effects_.misfire_share / parts_.air.cylinders + cold_start_lean();
    return lambda + effects_.lambda_share * std::max(0.0, effects_.lambda_towards - lambda);
}

/// The control unit gives a cold engine too little fuel.
double Simulation::cold_start_lean() const {
    return parts_.faults.has("cold-start-lean") && coolant_c_ < 45.0 && !full_load_ ? kColdStartLean : 0.0;
}

KnockPoint Simulation::knock_point() const {
    return {.engine_speed_rpm = rpm_,
            .manifold_kpa = air_.manifold_kpa,
            .exhaust_kpa = air_.exhaust_kpa,
            .charge_temp_c = air_.charge_temp_c,
            .coolant_temp_c = coolant_c_,
            .lambda = std::clamp(lambda_, 0.6, 1.3)};
}

void Simulation::fire(int cylinder) {
    if (!commands_.fuel_on) return;
    if (effects_.misfire_share > 0.0 && cylinder == parts_.faults.cylinder() &&
        random_.chance(effects_.misfire_share)) {
        misfires_ += 1.0;
        return;
    }
    double borderline = borderline_spark_deg(knock_point(), parts_.knock, parts_.car) +
                        parts_.car.cylinder_offset_deg[static_cast<std::size_t>(cylinder)];
    if (effects_.weak_cylinder_deg >= 0.0 && cylinder == parts_.faults.cylinder())
        borderline = std::min(borderline, commands_.spark_base_deg - effects_.weak_cylinder_deg);
    const double spark = commands_.spark_base_deg - control_.retard_deg(cylinder);
    if (!random_.chance(knock_probability(spark, borderline, parts_.car.knock_steepness_per_deg))) return;
    control_.knocked(cylinder);
    knocks_.push_back({time_s_, cylinder + 1, rpm_});
}

void Simulation::burn() {
    lambda_ = mixture();
    const double between_deg = 720.0 / parts_.air.cylinders;
    crank_deg_ += 6.0 * rpm_ * kStep;
    while (crank_deg_ >= between_deg) {
        crank_deg_ -= between_deg;
        fire(next_cylinder_);
        next_cylinder_ = (next_cylinder_ + 1) % parts_.air.cylinders;
    }
    const double charge = charge_pct(air_.air_flow_kg_s, rpm_, parts_.air.displacement_m3);
    const double best = best_torque_spark_deg(rpm_, charge) + parts_.car.best_torque_offset_deg;
    double efficiency = 0.0;
    for (int c = 0; c < parts_.air.cylinders; ++c)
        efficiency += spark_efficiency(best, commands_.spark_base_deg - control_.retard_deg(c),
                                       parts_.car.spark_curvature_per_deg2);
    efficiency *= (1.0 - effects_.misfire_share / parts_.air.cylinders) / parts_.air.cylinders;
    torque_nm_ =
        crank_torque_nm({.engine_speed_rpm = rpm_,
                         .air_flow_kg_s = air_.air_flow_kg_s,
                         .lambda = std::min(lambda_, 1.5),
                         .spark_efficiency = efficiency,
                         .manifold_kpa = air_.manifold_kpa,
                         .exhaust_kpa = air_.exhaust_kpa,
                         .fuel_on = commands_.fuel_on},
                        parts_.car, parts_.air.displacement_m3, fuel_.stoichiometric_ratio, fuel_.heating_value_j_kg);
    exhaust_settled_c_ =
        settled_exhaust_temp_c({.air_flow_kg_s = air_.air_flow_kg_s,
                                .flow_scale_kg_s = parts_.air.full_flow_kg_s,
                                .spark_retard_deg = best - commands_.spark_base_deg + control_.mean_retard_deg(),
                                .lambda = lambda_,
                                .charge_temp_c = air_.charge_temp_c,
                                .fuel_on = commands_.fuel_on},
                               parts_.car);
    exhaust_settled_c_ += effects_.exhaust_share * std::max(0.0, kHotExhaustC - exhaust_settled_c_);
    exhaust_.step(kStep, exhaust_settled_c_, air_.air_flow_kg_s, parts_.air.full_flow_kg_s, parts_.car);
    probe_.step(lambda_, air_.air_flow_kg_s * 1.07, parts_.air.full_flow_kg_s);
}

void Simulation::move() {
    const Vehicle& vehicle = parts_.vehicle;
    if (order_.standing) {
        speed_m_s_ = 0.0;
        rpm_ += kStep / 0.3 * (850.0 - rpm_);
        return;
    }
    const bool driving = !order_.clutch_open && order_.gear > 0;
    const double thrust = driving ? vehicle.thrust_n(torque_nm_, order_.gear) : 0.0;
    const double braking = order_.brake_m_s2 * parts_.job.car.mass_kg;
    const double force = thrust - braking - vehicle.resistance_n(speed_m_s_, parts_.day);
    speed_m_s_ = std::max(0.0, speed_m_s_ + kStep * force / vehicle.moving_mass_kg(driving ? order_.gear : 0));
    const double coupled = order_.gear > 0 ? vehicle.engine_speed_rpm(speed_m_s_, order_.gear) : 850.0;
    const double slipped = coupled * (1.0 + order_.slip);
    // Setting off, the clutch slips until the car has caught up with the engine.
    if (driving && coupled >= 1350.0)
        rpm_ = std::abs(slipped - rpm_) < 40.0 ? slipped : rpm_ + kStep / 0.05 * (slipped - rpm_);
    else
        rpm_ += kStep / 0.09 * (std::max(coupled, driving ? 1400.0 : 850.0) - rpm_);
}

void Simulation::warm() {
    const double power_kw = std::max(0.0, torque_nm_ * rpm_ * std::numbers::pi / 30.0 * 1e-3);
    charge_seen_c_ += kStep / 0.5 * (air_.charge_temp_c - charge_seen_c_);
    const bool hot_now = pull_ >= std::min(1, parts_.faults.pulls() - 1);
    if (hot_now && parts_.faults.has("hot-coolant"))
        coolant_c_ += kStep * std::clamp(114.0 - coolant_c_, -1.0, 3.5);
    else
        coolant_c_ += kStep / 45.0 * (89.0 + 0.05 * power_kw - coolant_c_);
    if (hot_now && parts_.faults.has("hot-oil"))
        oil_c_ += kStep * std::clamp(134.5 - oil_c_, -1.0, 5.0);
    else if (parts_.cold_oil && (pull_ < 0 || (pull_ == 0 && full_load_)))
        oil_c_ += kStep * 0.08;
    else if (parts_.cold_oil && oil_c_ < 88.0)
        oil_c_ += kStep * 1.1;
    else
        oil_c_ += kStep / 60.0 * (91.0 + 0.11 * power_kw - oil_c_);
}

void Simulation::step() {
    if (ticks_ % kActEvery == 0) act();
    if (effects_.force_knock) effects_.force_knock = false;
    if (ticks_ % kAirEvery == 0) step_boost_and_air();
    burn();
    move();
    warm();
    ++ticks_;
    time_s_ = static_cast<double>(ticks_) * kStep;
}

Moment Simulation::moment() const {
    const bool direct = parts_.job.engine.injection == Injection::direct;
    Moment m;
    m.time_s = time_s_;
    m.rpm = rpm_;
    m.pedal_pct = order_.pedal_pct;
    m.throttle_pct = commands_.throttle_pct;
    m.manifold_kpa = air_.manifold_kpa;
    m.boost_kpa = air_.boost_kpa;
    m.boost_target_kpa = commands_.boost_target_kpa;
    m.ambient_kpa = parts_.day.ambient_pressure_kpa;
    m.ambient_c = parts_.day.ambient_temp_c;
    m.air_measured_g_s = commands_.air_measured_g_s;
    m.charge_measured_pct = commands_.charge_measured_pct;
    m.charge_pct = charge_pct(air_.air_flow_kg_s, rpm_, parts_.air.displacement_m3);
    m.lambda = lambda_;
    m.lambda_seen = probe_.reading();
    m.lambda_target = commands_.lambda_target;
    m.spark_base_deg = commands_.spark_base_deg;
    for (int c = 0; c < parts_.air.cylinders; ++c) m.retard_deg[static_cast<std::size_t>(c)] = control_.retard_deg(c);
    m.mean_retard_deg = control_.mean_retard_deg();
    const auto& offsets = parts_.car.cylinder_offset_deg;
    m.borderline_deg = borderline_spark_deg(knock_point(), parts_.knock, parts_.car) - parts_.knock.run_effect_deg +
                       *std::min_element(offsets.begin(), offsets.begin() + parts_.air.cylinders);
    m.best_torque_deg = best_torque_spark_deg(rpm_, m.charge_pct) + parts_.car.best_torque_offset_deg;
    m.charge_temp_c = air_.charge_temp_c;
    m.charge_temp_seen_c = charge_seen_c_;
    m.coolant_c = coolant_c_;
    m.oil_c = oil_c_;
    m.exhaust_settled_c = exhaust_settled_c_;
    m.exhaust_seen_c = exhaust_.reading_c();
    m.rail_mpa = direct ? rail_mpa_ : commands_.rail_target_mpa;
    m.rail_target_mpa = commands_.rail_target_mpa;
    m.low_pressure_kpa = kLowPressure * (direct ? 1.0 : effects_.fuel_pressure_factor);
    const double fuel_mg = commands_.fuel_on ? 1e6 * air_.air_flow_kg_s / (lambda_ * fuel_.stoichiometric_ratio) *
                                                   120.0 / (std::max(rpm_, 300.0) * parts_.air.cylinders)
                                             : 0.0;
    const double flow_mg_ms = (direct ? 20.0 * std::sqrt(std::max(m.rail_mpa, 1.0) / 20.0) : 6.0) *
                              parts_.air.displacement_m3 / parts_.air.cylinders / 0.0005;
    m.injector_ms = fuel_mg / flow_mg_ms * (parts_.faults.has("injectors-too-small") ? kSmallInjectors : 1.0);
    m.wastegate_pct = 100.0 * commands_.wastegate_duty;
    m.speed_m_s = speed_m_s_;
    m.gear = order_.gear;
    m.torque_nm = torque_nm_;
    m.torque_estimate_nm = commands_.torque_estimate_nm;
    m.torque_request_nm = commands_.torque_request_nm;
    m.trim_short_pct = order_.pedal_pct >= 90.0 ? 0.0 : commands_.trim_short_pct;
    m.trim_long_pct = commands_.trim_long_pct;
    m.battery_v = parts_.day.battery_v;
    m.misfires = misfires_;
    m.clutch_open = order_.clutch_open || order_.standing;
    m.intervention = order_.intervention;
    m.slip = order_.slip_kind;
    m.mark = order_.mark;
    m.segment = order_.segment;
    return m;
}

}  // namespace revwright::rig
