#include "recovery/second_generator/trace_faults.h"

#include <algorithm>
#include <cmath>

namespace revwright::second {
namespace {

constexpr double kEdgeRpm = 250.0;

double ramp(double x) {
    const double u = std::clamp(x, 0.0, 1.0);
    return u * u * (3.0 - 2.0 * u);
}

bool in_pull(const Instant& now) { return now.pull >= 0 && now.pedal_pct >= 95.0; }
bool is_turbo(const TraceCar& car) { return car.job.engine.turbocharged(); }
bool is_direct(const TraceCar& car) { return car.job.engine.injection == Injection::direct; }
bool is_port(const TraceCar& car) { return !is_direct(car); }

void blend(double& value, double to, double share) { value += share * (to - value); }

// What the manifold holds, the meter sees.
void press(Instant& now, double kpa) {
    now.boost_kpa += kpa;
    now.flow_g_s *= (now.manifold_kpa + kpa) / now.manifold_kpa;
    now.manifold_kpa += kpa;
}
void warm(Instant& now, double to_c, double share) {
    const double before = now.intake_c;
    blend(now.intake_c, to_c, share);
    now.flow_g_s *= (273.0 + before) / (273.0 + now.intake_c);
}

void lean(Instant& now, Planted& p) {
    const double floor = is_turbo(*p.car) ? 0.90 : 0.95;
    blend(now.mixture, floor + p.between(0.035, 0.08), p.acts(now));
}
void beside_target(Instant& now, Planted& p) { now.mixture -= p.acts(now) * p.between(0.055, 0.09); }

/// Retard that jumps up, stays a moment and runs out.
void retard(Instant& now, Planted& p, int cylinder, double deg, double stays_s, double since) {
    if (since < 0.0) return;
    double& value = now.retard_deg[static_cast<std::size_t>(cylinder % p.car->job.engine.cylinders)];
    value = std::max(value, deg - 1.8 * std::max(0.0, since - stays_s));
}
void knock_once(Instant& now, Planted& p) {
    if (now.pull == p.pull) retard(now, p, p.cylinder, p.between(2.0, 2.7), 0.15, p.since_place(now));
}
void knock_again(Instant& now, Planted& p) {
    retard(now, p, p.cylinder, p.between(2.0, 2.7), 0.15, p.since_place(now));
}
void knock_stays(Instant& now, Planted& p) {
    if (now.pull == p.pull) retard(now, p, p.cylinder, p.between(3.9, 5.4), 0.9, p.since_place(now));
}
void knock_deep(Instant& now, Planted& p) {
    if (now.pull == p.pull) retard(now, p, p.cylinder, p.between(7.0, 9.0), 0.25, p.since_place(now));
}
void one_cylinder(Instant& now, Planted& p) {
    if (now.pull < 0) return;
    const double since = p.since_place(now);
    // So far apart that the retard has run out by an event's height before the next.
    for (int k = 0; k < 5; ++k) retard(now, p, p.cylinder, p.between(3.2, 4.4), 0.1, since - 1.1 * k);
}

void low_boost(Instant& now, Planted& p) {
    press(now, -p.acts(now) * p.between(16.0, 23.0));
    blend(now.duty_pct, 84.0, p.acts(now));
}
void high_boost(Instant& now, Planted& p) { press(now, p.acts(now) * p.between(15.0, 22.0)); }
void overshoot(Instant& now, Planted& p) {
    if (!in_pull(now)) return;
    if (!p.struck_s.contains(now.pull) && now.boost_kpa >= now.boost_target_kpa - 2.0 && now.rpm > 2300.0)
        p.struck_s[now.pull] = now.t;
    const auto began = p.struck_s.find(now.pull);
    if (began == p.struck_s.end()) return;
    const double since = now.t - began->second;
    press(now, p.between(19.0, 24.0) * ramp(since / 0.3) * (1.0 - ramp((since - 0.45) / 0.7)));
}
void oscillate(Instant& now, Planted& p) {
    press(now, p.acts(now) * p.between(9.5, 13.0) * std::sin(6.2832 * p.between(1.6, 2.6) * now.t));
}
void wide_open_duty(Instant& now, Planted& p) {
    press(now, -p.acts(now) * p.between(8.5, 10.5));
    blend(now.duty_pct, 98.0, p.acts(now) > 0.2 ? 1.0 : 0.0);
}

void throttle_closes(Instant& now, Planted& p) {
    const double share = p.acts(now);
    blend(now.throttle_pct, p.between(80.0, 55.0), share);
    const double lost = share * p.between(12.0, 30.0);
    now.flow_g_s *= (now.manifold_kpa - lost) / now.manifold_kpa;
    now.manifold_kpa -= lost;
    now.torque_nm *= 1.0 - 0.25 * share;
}
void torque_taken_back(Instant& now, Planted& p) {
    const double since = p.since_place(now);
    if (since < 0.0 || !in_pull(now)) return;
    const double share = ramp(since / 0.08) * (1.0 - ramp((since - p.between(0.5, 1.0)) / 0.15));
    now.request_nm *= 1.0 - 0.14 * share;
    now.torque_nm *= 1.0 - 0.14 * share;
}

void rail_drops(Instant& now, Planted& p) { now.rail_mpa *= 1.0 - p.acts(now) * p.between(0.13, 0.18); }
void low_pressure_drops(Instant& now, Planted& p) { now.low_kpa *= 1.0 - p.acts(now) * p.between(0.13, 0.18); }
void injectors_full(Instant& now, Planted& p) {
    if (!in_pull(now)) return;
    const double room_ms = (is_direct(*p.car) ? 40000.0 : 120000.0) / now.rpm;
    blend(now.injector_ms, room_ms * (is_direct(*p.car) ? 0.95 : 0.90), p.acts(now));
}

void hot_intake(Instant& now, Planted& p) {
    if (now.pull >= 0) warm(now, p.between(70.0, 76.0), ramp(now.since_s / 2.0));
}
void intake_rises(Instant& now, Planted& p) {
    if (now.pull >= 0) warm(now, now.intake_c + p.between(36.0, 42.0), ramp(now.since_s / 3.0));
}
void hot_exhaust(Instant& now, Planted& p) {
    if (now.pull >= 0) blend(now.gas_c, p.between(1020.0, 1070.0), ramp(now.since_s / 0.7));
}
void hot_coolant(Instant& now, Planted& p) {
    blend(now.coolant_c, p.between(113.0, 117.0), ramp((now.t - 15.0) / 15.0));
}
void cold_coolant(Instant& now, Planted& p) { now.coolant_c = p.between(66.0, 52.0) + 1.5 * ramp(now.t / 100.0); }
void hot_oil(Instant& now, Planted& p) { blend(now.oil_c, p.between(133.0, 138.0), ramp((now.t - 15.0) / 15.0)); }
void cold_oil(Instant& now, Planted& p) {
    // Cold up to the end of the first pull, then soon warm.
    if (now.pull == 0) p.struck_s[0] = now.t;
    const auto last_cold = p.struck_s.find(0);
    const double warmed = last_cold == p.struck_s.end() ? 0.0 : ramp((now.t - last_cold->second - 0.5) / 3.0);
    now.oil_c = p.between(70.0, 50.0) * (1.0 - warmed) + 92.0 * warmed;
}
void low_battery(Instant& now, Planted& p) {
    if (now.running && now.rpm > 350.0) now.battery_v = p.between(12.1, 11.6);
}

void meter_is_off(Instant& now, Planted& p) { now.flow_g_s *= p.upward ? 1.33 : 0.74; }
void clutch_slips(Instant& now, Planted& p) { now.input_rpm -= p.acts(now) * p.between(80.0, 98.0); }
void trims_off(Instant& now, Planted& p) { now.trim_long_pct = (p.upward ? 1.0 : -1.0) * p.between(13.2, 14.2); }
void misfires(Instant& now, Planted& p) {
    if (in_pull(now) && p.acts(now) > 0.5) p.misfires += kInstantSeconds * p.between(8.0, 16.0);
    now.misfires = std::floor(p.misfires);
}
void lean_when_cold(Instant& now, Planted& p) {
    if (now.running && now.t > 4.0 && now.t < 46.0) now.mixture = p.between(1.21, 1.29);
}

void narrow_gearbox(TraceCar& car, DriveWish&) { car.job.car.gearbox_torque_nm = {0.88 * car.peak_nm}; }
void with_input_speed(TraceCar& car, DriveWish&) { car.automatic = true; }
void cold_start(TraceCar&, DriveWish& wish) { wish.cold_engine = true; }
void one_pull(TraceCar&, DriveWish& wish) { wish.one_short_pull = true; }
void to_the_limiter(TraceCar&, DriveWish& wish) { wish.on_the_limiter = true; }
void slow_shift(TraceCar& car, DriveWish& wish) {
    wish.slow_shift = true;
    car.job.limits.override_with("shift_time_s", {0.5, "quick gearbox"});
}

using enum Signal;
using enum Severity;

std::vector<FaultRow> rows_of_mixture_and_knock() {
    const std::vector<std::string_view> knocks{"knock-event", "knock-repeated", "knock-cylinder"};
    return {
        {.name = "lean mixture",
         .checks = {"lambda-lean"},
         .at_least = mend,
         .may_raise = {"lambda-follow"},
         .shows_in = {lambda},
         .placed = true,
         .flat_s = 0.6,
         .act = lean},
        {.name = "mixture beside target",
         .checks = {"lambda-follow"},
         .at_least = mend,
         .shows_in = {lambda, lambda_target},
         .placed = true,
         .flat_s = 0.9,
         .act = beside_target},
        {.name = "knock once",
         .checks = {"knock-event"},
         .shows_in = {knock_retard_deg},
         .placed = true,
         .act = knock_once},
        {.name = "knock again in the same cell",
         .checks = {"knock-repeated"},
         .at_least = mend,
         .may_raise = knocks,
         .shows_in = {knock_retard_deg},
         .placed = true,
         .act = knock_again},
        {.name = "knock retard stays",
         .checks = {"knock-repeated"},
         .at_least = mend,
         .may_raise = knocks,
         .shows_in = {knock_retard_deg},
         .placed = true,
         .act = knock_stays},
        {.name = "deep knock",
         .checks = {"knock-event", "knock-repeated"},
         .at_least = stop,
         .may_raise = knocks,
         .shows_in = {knock_retard_deg},
         .placed = true,
         .act = knock_deep},
        {.name = "one cylinder knocks",
         .checks = {"knock-cylinder"},
         .may_raise = knocks,
         .shows_in = {knock_retard_deg},
         .act = one_cylinder},
        {.name = "misfires",
         .checks = {"misfire"},
         .at_least = mend,
         .shows_in = {misfire_count},
         .placed = true,
         .flat_s = 0.8,
         .act = misfires},
        {.name = "lean cold start",
         .checks = {"cold-start"},
         .may_raise = {"coolant-window", "oil-window"},
         .shows_in = {lambda, coolant_temp_c},
         .prepare = cold_start,
         .act = lean_when_cold},
        {.name = "trims off",
         .checks = {"fuel-trim"},
         .at_least = mend,
         .shows_in = {trim_short_pct, trim_long_pct, coolant_temp_c, lambda_target, vehicle_speed_km_h},
         .act = trims_off},
    };
}

std::vector<FaultRow> rows_of_air() {
    return {
        {.name = "boost below target",
         .checks = {"boost-steady"},
         .at_least = mend,
         .may_raise = {"wastegate-saturated"},
         .shows_in = {boost_pressure_kpa, boost_target_kpa},
         .fits = is_turbo,
         .placed = true,
         .flat_s = 0.8,
         .act = low_boost},
        {.name = "boost above target",
         .checks = {"boost-steady"},
         .at_least = mend,
         .may_raise = {"boost-overshoot"},
         .shows_in = {boost_pressure_kpa, boost_target_kpa},
         .fits = is_turbo,
         .placed = true,
         .flat_s = 0.8,
         .act = high_boost},
        {.name = "boost overshoots",
         .checks = {"boost-overshoot"},
         .at_least = mend,
         .may_raise = {"boost-steady", "boost-oscillation"},
         .shows_in = {boost_pressure_kpa, boost_target_kpa},
         .fits = is_turbo,
         .act = overshoot},
        {.name = "boost oscillates",
         .checks = {"boost-oscillation"},
         .at_least = mend,
         .may_raise = {"boost-overshoot", "boost-steady"},
         .shows_in = {boost_pressure_kpa, boost_target_kpa},
         .fits = is_turbo,
         .placed = true,
         .flat_s = 1.5,
         .act = oscillate},
        {.name = "wastegate at its end",
         .checks = {"wastegate-saturated"},
         .may_raise = {"boost-steady"},
         .shows_in = {boost_pressure_kpa, boost_target_kpa, wastegate_duty_pct},
         .fits = is_turbo,
         .placed = true,
         .flat_s = 0.9,
         .act = wide_open_duty},
        {.name = "throttle closes",
         .checks = {"throttle-closing"},
         .at_least = mend,
         .may_raise = {"torque-intervention"},
         .shows_in = {throttle_pct},
         .placed = true,
         .flat_s = 0.5,
         .act = throttle_closes},
        {.name = "air meter off",
         .checks = {"air-consistency"},
         .at_least = mend,
         .shows_in = {air_mass_flow_g_s, manifold_pressure_kpa, intake_temp_c, throttle_pct},
         .act = meter_is_off},
        {.name = "pressure sensor ends",
         .checks = {"sensor-range"},
         .may_raise = {"boost-steady", "wastegate-saturated", "air-consistency", "log-quality"},
         .shows_in = {boost_pressure_kpa, boost_target_kpa},
         .fits = is_turbo,
         .spoil = Spoil::ceiling},
        {.name = "hot intake",
         .checks = {"intake-temperature"},
         .at_least = mend,
         .may_raise = {"intake-rise"},
         .shows_in = {intake_temp_c},
         .act = hot_intake},
        // Where the air gets too hot by it, that is the finding, and the rise is not said twice.
        {.name = "intake heats up",
         .checks = {"intake-rise", "intake-temperature"},
         .shows_in = {intake_temp_c},
         .act = intake_rises},
    };
}

std::vector<FaultRow> rows_of_parts() {
    return {
        {.name = "rail pressure drops",
         .checks = {"fuel-pressure"},
         .at_least = mend,
         .shows_in = {rail_pressure_mpa, rail_pressure_target_mpa},
         .fits = is_direct,
         .placed = true,
         .flat_s = 0.6,
         .act = rail_drops},
        {.name = "low fuel pressure drops",
         .checks = {"fuel-pressure"},
         .at_least = mend,
         .shows_in = {fuel_pressure_low_kpa},
         .fits = is_port,
         .placed = true,
         .flat_s = 0.6,
         .act = low_pressure_drops},
        {.name = "injectors at their end",
         .checks = {"injector-time"},
         .at_least = mend,
         .shows_in = {injector_time_ms},
         .placed = true,
         .flat_s = 0.6,
         .act = injectors_full},
        {.name = "hot exhaust",
         .checks = {"exhaust-temperature"},
         .at_least = mend,
         .shows_in = {exhaust_temp_c},
         .act = hot_exhaust},
        {.name = "hot coolant",
         .checks = {"coolant-window"},
         .at_least = mend,
         .shows_in = {coolant_temp_c},
         .act = hot_coolant},
        {.name = "cold coolant", .checks = {"coolant-window"}, .shows_in = {coolant_temp_c}, .act = cold_coolant},
        {.name = "hot oil", .checks = {"oil-window"}, .at_least = mend, .shows_in = {oil_temp_c}, .act = hot_oil},
        {.name = "cold oil", .checks = {"oil-window"}, .shows_in = {oil_temp_c}, .act = cold_oil},
        {.name = "low battery", .checks = {"battery"}, .shows_in = {battery_v}, .act = low_battery},
        {.name = "torque over the gearbox",
         .checks = {"torque-capacity"},
         .at_least = mend,
         .shows_in = {torque_nm},
         .prepare = narrow_gearbox},
        {.name = "torque taken back",
         .checks = {"torque-intervention"},
         .shows_in = {torque_request_nm},
         .placed = true,
         .act = torque_taken_back},
        {.name = "speed limiter",
         .checks = {"speed-limiter"},
         .may_raise = {"torque-intervention"},
         .prepare = to_the_limiter},
        {.name = "clutch slips",
         .checks = {"gear-slip"},
         .at_least = mend,
         .shows_in = {gearbox_input_rpm, gear},
         .placed = true,
         .flat_s = 0.5,
         .prepare = with_input_speed,
         .act = clutch_slips},
        {.name = "slow shift", .checks = {"shift-time"}, .shows_in = {gear}, .prepare = slow_shift},
    };
}

std::vector<FaultRow> rows_of_recording() {
    return {
        {.name = "one short pull", .checks = {"coverage"}, .prepare = one_pull},
        {.name = "stuck channel", .checks = {"log-quality"}, .spoil = Spoil::stuck},
        {.name = "gap in the log", .checks = {"log-quality"}, .may_raise = {"coverage"}, .spoil = Spoil::gap},
        {.name = "lambda drops out", .checks = {"log-quality"}, .shows_in = {lambda}, .spoil = Spoil::dropout},
        {.name = "spikes", .checks = {"log-quality"}, .shows_in = {lambda}, .spoil = Spoil::spikes},
        {.name = "clock runs back", .checks = {"log-quality"}, .may_raise = {"coverage"}, .spoil = Spoil::clock},
    };
}

}  // namespace

double Planted::acts(const Instant& now) const {
    if (!in_pull(now)) return 0.0;
    return 1.0 - ramp((std::abs(now.rpm - at_rpm) - flat_rpm) / kEdgeRpm);
}

double Planted::since_place(const Instant& now) {
    if (!in_pull(now)) return -1.0;
    const double place = at_rpm > 0.0 ? at_rpm : 0.45 * car->job.engine.max_speed_rpm;
    if (now.rpm >= place) struck_s.try_emplace(now.pull, now.t);
    const auto began = struck_s.find(now.pull);
    return began == struck_s.end() ? -1.0 : now.t - began->second;
}

std::span<const FaultRow> all_rows() {
    static const std::vector<FaultRow> rows = [] {
        std::vector<FaultRow> all = rows_of_mixture_and_knock();
        for (const auto& more : {rows_of_air(), rows_of_parts(), rows_of_recording()})
            all.insert(all.end(), more.begin(), more.end());
        return all;
    }();
    return rows;
}

}  // namespace revwright::second
