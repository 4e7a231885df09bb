#include "recovery/second_generator/car.h"

#include <algorithm>

#include "recovery/second_generator/chance.h"

namespace revwright::second {
namespace {

/// Ratios that fall by a factor which shrinks toward the high gears.
std::vector<double> gear_ratios(int gears, double first, double last) {
    std::vector<double> ratios;
    for (int g = 0; g < gears; ++g) {
        const double x = static_cast<double>(g) / (gears - 1);
        // Between the geometric and the harmonic mean of the ends: how real boxes are spaced.
        const double harmonic = 1.0 / ((1.0 - x) / first + x / last);
        ratios.push_back(harmonic);
    }
    return ratios;
}

void fit_engine(TraceCar& car, Chance& chance) {
    Engine& engine = car.job.engine;
    const bool turbo = car.kind != CarKind::naturally_aspirated;
    constexpr int kTurboCylinders[] = {3, 4, 4, 5, 6};
    constexpr int kOtherCylinders[] = {4, 4, 6, 8};
    engine.cylinders = turbo ? kTurboCylinders[chance.below(5)] : kOtherCylinders[chance.below(4)];
    engine.displacement_cm3 = engine.cylinders * chance.between(turbo ? 380.0 : 450.0, turbo ? 500.0 : 620.0);
    engine.compression_ratio = turbo ? chance.between(9.0, 10.4) : chance.between(10.5, 12.0);
    engine.aspiration = turbo ? Aspiration::turbocharged : Aspiration::naturally_aspirated;
    const bool direct = car.kind == CarKind::turbo_direct || (!turbo && chance.one_in(2));
    engine.injection = direct ? Injection::direct : Injection::port;
    engine.max_speed_rpm = 100.0 * chance.below(6) + (turbo ? 6300.0 : 6900.0);
    engine.inertia_kg_m2 = 0.04 * engine.cylinders;
}

void fit_drive(TraceCar& car, Chance& chance) {
    JobSheet& job = car.job;
    const int gears = car.kind == CarKind::turbo_direct ? 6 + chance.below(3)
                      : car.kind == CarKind::turbo_port ? 5 + chance.below(2)
                                                        : 4 + chance.below(3);
    job.car.gear_ratios = gear_ratios(gears, chance.between(3.4, 3.9), gears > 5 ? 0.68 : 0.82);
    job.car.final_drive = chance.between(3.4, 4.1);
    job.car.mass_kg = 900.0 + 0.22 * job.engine.displacement_cm3 + chance.between(0.0, 200.0);
    job.car.drag_area_m2 = chance.between(0.60, 0.75);
    job.car.rolling_coefficient = 0.012;
    job.car.rolling_circumference_m = chance.between(1.90, 2.05);
    job.car.tyre = {225, 45, 17.0, 94, "Y"};
    job.car.driven_axle = chance.one_in(2) ? DrivenAxle::front : DrivenAxle::all;
    car.pull_gear = std::min(gears - 1, 3);
    car.automatic = gears > 6;
}

void fit_torque(TraceCar& car) {
    const double litres = car.job.engine.displacement_cm3 * 1e-3;
    const bool turbo = car.job.engine.turbocharged();
    // 12.5 Nm a litre for each 10 kPa in the manifold; all figures of this file are common practice, no source.
    const double manifold = turbo ? car.weather.ambient_kpa + car.boost_gauge_kpa : car.weather.ambient_kpa;
    car.peak_nm = litres * manifold * (turbo ? 1.00 : 1.02);
    car.job.car.gearbox_torque_nm = {1.35 * car.peak_nm};
    car.job.car.clutch_torque_nm = 1.45 * car.peak_nm;
    car.job.engine.torque_max_nm = 1.5 * car.peak_nm;
}

void fit_weather(TraceCar& car, Chance& chance) {
    constexpr Weather kDays[] = {{18.0, 100.5}, {33.0, 99.0}, {-4.0, 101.8}, {16.0, 82.0}, {24.0, 94.5}};
    car.weather = kDays[chance.below(5)];
    car.weather.ambient_c += chance.between(-2.0, 2.0);
    car.weather.ambient_kpa += chance.between(-0.8, 0.8);
    car.dyno = chance.one_in(4);
    // Height over the sea that goes with the pressure, 8.3 m for each 0.1 kPa near the ground.
    car.job.site.altitude_m = std::max(0.0, 83.0 * (101.3 - car.weather.ambient_kpa));
}

void fit_mixture(TraceCar& car, Chance& chance) {
    const bool turbo = car.job.engine.turbocharged();
    car.lambda_start = turbo ? chance.between(0.84, 0.88) : chance.between(0.88, 0.92);
    car.lambda_end = car.lambda_start - chance.between(0.02, 0.07);
    car.enrich_s = chance.between(0.2, 0.7);
    car.mixture_error = chance.between(-0.008, 0.008);
    car.probe_fixed_s = chance.between(0.02, 0.06);
    car.probe_flow_s = chance.between(3.0, 7.0);
    car.probe_lag_s = chance.between(0.05, 0.10);
    car.trim_long_pct = chance.between(-3.0, 3.0);
}

void fit_boost(TraceCar& car, Chance& chance) {
    car.boost_gauge_kpa = chance.between(60.0, 115.0) * (car.weather.ambient_kpa < 90.0 ? 0.85 : 1.0);
    car.boost_taper_kpa = chance.between(0.0, 25.0);
    car.spool_rpm = chance.between(1900.0, 2400.0);
    car.boost_hz = chance.between(0.6, 0.9);
    car.boost_damping = chance.between(0.72, 0.9);
    car.target_step_kpa = chance.one_in(3) ? chance.between(4.0, 9.0) : 0.0;
    car.target_step_rpm = chance.between(3600.0, 4600.0);
    car.duty_steady_pct = chance.between(45.0, 72.0);
}

void fit_temperatures(TraceCar& car, Chance& chance) {
    const bool turbo = car.job.engine.turbocharged();
    car.intake_over_c = chance.between(6.0, 13.0);
    car.intake_gain_c = turbo ? chance.between(3.0, 10.0) : chance.between(-5.0, -2.0);
    car.coolant_c = chance.between(86.0, 99.0);
    car.oil_c = chance.between(90.0, 112.0);
    car.gas_c = turbo ? chance.between(800.0, 870.0) : chance.between(740.0, 820.0);
    car.thermocouple_s = chance.between(0.9, 1.7);
}

}  // namespace

std::string_view to_string(CarKind kind) {
    switch (kind) {
        case CarKind::turbo_direct:
            return "turbo direct";
        case CarKind::turbo_port:
            return "turbo port";
        case CarKind::naturally_aspirated:
            return "naturally aspirated";
    }
    return "";
}

TraceCar trace_car(CarKind kind, std::uint64_t seed) {
    Chance chance(seed, 11);
    TraceCar car;
    car.kind = kind;
    fit_engine(car, chance);
    fit_drive(car, chance);
    fit_weather(car, chance);
    fit_boost(car, chance);
    fit_mixture(car, chance);
    fit_temperatures(car, chance);
    fit_torque(car);
    car.job.fuel.ron = 98.0;
    car.job.limits = Limits(car.job.engine.turbocharged());
    car.idle_rpm = chance.between(680.0, 900.0);
    car.from_rpm = chance.between(1800.0, 2100.0);
    car.to_rpm = car.job.engine.max_speed_rpm - chance.between(200.0, 400.0);
    car.filling = chance.between(0.87, 0.93);
    car.spark_low = chance.between(4.0, 12.0);
    car.spark_high = car.spark_low + chance.between(10.0, 16.0);
    car.rail_full_mpa = chance.between(15.0, 20.0);
    car.low_kpa = chance.between(400.0, 500.0);
    car.injector_full = chance.between(0.55, 0.75);
    car.battery_v = chance.between(13.5, 14.6);
    return car;
}

}  // namespace revwright::second
