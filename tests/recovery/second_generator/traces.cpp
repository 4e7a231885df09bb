#include "recovery/second_generator/traces.h"

#include <algorithm>
#include <cmath>

namespace revwright::second {
namespace {

constexpr double kStep = kInstantSeconds;

/// 0 below, 1 above, smooth between.
double ramp(double x) {
    const double u = std::clamp(x, 0.0, 1.0);
    return u * u * (3.0 - 2.0 * u);
}

void follow(double& value, double to, double lag_s) { value += kStep / std::max(lag_s, kStep) * (to - value); }

/// A triangle between -1 and 1.
double triangle(double t, double period) {
    const double x = t / period - std::floor(t / period);
    return 1.0 - 4.0 * std::abs(x - 0.5);
}

}  // namespace

HealthyTraces::HealthyTraces(const TraceCar& car, std::uint64_t seed, bool cold_engine)
    : car_(car),
      chance_(seed, 31),
      cold_(cold_engine),
      boost_(car.weather.ambient_kpa),
      manifold_(car.weather.ambient_kpa),
      intake_(car.weather.ambient_c + car.intake_over_c),
      coolant_(cold_engine ? std::max(2.0, car.weather.ambient_c) : car.coolant_c),
      oil_(cold_engine ? std::max(2.0, car.weather.ambient_c) : car.oil_c),
      rail_target_(8.0),
      rail_(8.0),
      aircon_from_(chance_.between(3.0, 30.0)),
      aircon_pct_(chance_.between(-2.0, 2.0)) {}

void HealthyTraces::fill(Instant& now) {
    const bool full = now.pedal_pct >= 80.0 && now.running;
    now.ambient_kpa = car_.weather.ambient_kpa;
    now.ambient_c = car_.weather.ambient_c;
    boost(now, full);
    air(now);
    temperatures(now, full);
    mixture(now, full);
    knock(now, full);
    fuel(now, full);
    torque(now, full);
    electrics(now);
}

void HealthyTraces::boost(Instant& now, bool full) {
    const double ambient = car_.weather.ambient_kpa, x = of_highest(now);
    const double dither = 96.0 + 2.2 * std::sin(1.7 * now.t) + 1.2 * std::sin(4.1 * now.t + 0.4);
    follow(throttle_, full ? dither : now.running ? 3.0 + 0.7 * now.pedal_pct : 6.0, 0.05);
    now.throttle_pct = throttle_;
    if (!car_.job.engine.turbocharged()) {
        now.boost_kpa = now.boost_target_kpa = ambient;
        return;
    }
    double target = ambient + 4.0 + 0.1 * now.pedal_pct;
    if (full) {
        target = ambient + car_.boost_gauge_kpa * (0.35 + 0.65 * ramp((now.rpm - 1400.0) / 900.0));
        target -= car_.boost_taper_kpa * ramp((x - 0.62) / 0.5);
        target -= car_.target_step_kpa * ramp((now.rpm - car_.target_step_rpm) / 350.0);
    }
    const double can = ambient + 1.12 * car_.boost_gauge_kpa / (1.0 + std::exp(-(now.rpm - car_.spool_rpm) / 200.0));
    const double goal = full ? std::min(target, can) : ambient + 0.05 * now.pedal_pct - 0.5;
    const double w = 6.2832 * (full ? car_.boost_hz : 1.2);
    boost_rate_ += kStep * (w * w * (goal - boost_) - 2.0 * (full ? car_.boost_damping : 1.0) * w * boost_rate_);
    boost_ += kStep * boost_rate_;
    now.boost_kpa = boost_;
    now.boost_target_kpa = target;
    const bool building = full && boost_ < target - 4.0;
    follow(duty_, building ? 98.0 : full ? car_.duty_steady_pct + 6.0 * x : 5.0, 0.12);
    now.duty_pct = duty_;
}

void HealthyTraces::air(Instant& now) {
    const double x = of_highest(now);
    const double open = std::clamp((throttle_ - 3.0) / 75.0, 0.0, 1.0);
    const double before = now.boost_kpa - (1.5 + 1.5 * x) * open;
    const double idle = now.fuel_cut ? 24.0 : 34.0;
    follow(manifold_, now.running ? idle + (before - idle) * std::pow(open, 0.8) : car_.weather.ambient_kpa, 0.06);
    now.manifold_kpa = manifold_;
    const double filled = car_.filling * (1.0 - 0.06 * std::pow((x - 0.62) / 0.4, 2.0));
    const double litres = car_.job.engine.displacement_cm3 * 1e-3;
    // 1.2 g a litre at 101.3 kPa and 21 C, and the rest by rule of three.
    const double grams_per_litre = 1.2 * manifold_ / 101.3 * 294.0 / (273.0 + intake_);
    now.flow_g_s = std::max(0.0, filled * grams_per_litre * litres * now.rpm / 120.0);
}

void HealthyTraces::mixture(Instant& now, bool full) {
    const double x = of_highest(now);
    const bool open_loop = full || now.pedal_pct > 60.0;
    double wanted = coolant_ < 35.0 ? 0.90 : 1.0;
    if (full && now.pull >= 0)
        wanted = 1.0 + (car_.lambda_start - 1.0) * ramp(now.since_s / car_.enrich_s) +
                 (car_.lambda_end - car_.lambda_start) * ramp((x - 0.4) / 0.45);
    else if (open_loop)
        wanted = 0.96;
    follow(target_, wanted, full ? 0.03 : 0.15);
    now.lambda_target = target_;
    now.mixture = target_ * (1.0 + car_.mixture_error);
    if (!open_loop) now.mixture = target_ + 0.018 * triangle(now.t, 1.3);
    if (full && now.pull >= 0) now.mixture += 0.025 * std::exp(-now.since_s / 0.10);
    if (now.fuel_cut) now.mixture = 3.2;
    if (!now.running) now.mixture = 1.0;
    const double steady = now.gear == 0 ? aircon_pct_ * ramp((now.t - aircon_from_) / 1.0) : 0.0;
    now.trim_short_pct = open_loop || now.fuel_cut || !now.running ? 0.0 : steady + 1.5 * triangle(now.t + 0.3, 1.3);
    now.trim_long_pct = car_.trim_long_pct + (now.gear == 0 ? 0.6 : 0.0);
}

void HealthyTraces::knock(Instant& now, bool full) {
    const double x = of_highest(now);
    follow(spark_, full ? car_.spark_low + (car_.spark_high - car_.spark_low) * x : now.gear > 0 ? 30.0 : 12.0, 0.05);
    now.spark_base_deg = spark_;
    for (int c = 0; c < car_.job.engine.cylinders; ++c) {
        double& retard = retard_[static_cast<std::size_t>(c)];
        retard = std::max(0.0, retard - 1.1 * kStep);
        // Noise of a healthy engine: below one degree, and never a rise of one.
        if (full && now.pull >= 0 && retard < 0.05 && chance_.share() < 0.25 * kStep)
            retard = chance_.between(0.3, 0.75);
        now.retard_deg[static_cast<std::size_t>(c)] = retard;
    }
}

void HealthyTraces::temperatures(Instant& now, bool full) {
    const double x = of_highest(now);
    const double over = car_.weather.ambient_c + car_.intake_over_c;
    // Heat soak at a standstill, cooling by the wind, and the compressor's heat in a pull.
    if (full && now.pull >= 0)
        follow(intake_, over + car_.intake_gain_c + 4.0 * x, 2.5);
    else if (now.gear == 0)
        follow(intake_, over + 14.0, 40.0);
    else
        follow(intake_, over, 9.0);
    now.intake_c = intake_;
    follow(coolant_, car_.coolant_c + (full ? 4.0 : 0.0), cold_ ? 45.0 : 25.0);
    follow(oil_, car_.oil_c + (full ? 8.0 : 0.0), cold_ ? 55.0 : 40.0);
    now.coolant_c = coolant_;
    now.oil_c = oil_;
    const double burning = full && now.pull >= 0 ? car_.gas_c * (0.92 + 0.08 * x)
                           : !now.running        ? 60.0
                           : now.fuel_cut        ? 320.0
                           : now.gear > 0        ? 540.0
                                                 : 400.0;
    follow(gas_, burning, 0.35);
    now.gas_c = gas_;
}

void HealthyTraces::fuel(Instant& now, bool full) {
    const double top = car_.job.engine.max_speed_rpm, x = of_highest(now);
    follow(rail_target_, full ? car_.rail_full_mpa * (0.75 + 0.25 * x) : 6.0 + 0.06 * now.pedal_pct, 0.2);
    follow(rail_, rail_target_, 0.10);
    now.rail_target_mpa = rail_target_;
    now.rail_mpa = now.running ? rail_ : 0.5;
    const double share =
        full ? std::clamp(now.manifold_kpa / now.boost_target_kpa, 0.3, 1.0) : now.manifold_kpa / 300.0;
    now.low_kpa = car_.low_kpa * (1.0 - 0.015 * share * x) + (now.running ? 0.0 : -40.0);
    // Opening time per cycle against what there is room for: the whole cycle into the port, 240 degrees direct.
    const double room_ms = car_.job.engine.injection == Injection::port ? 120000.0 / top : 40000.0 / top;
    const double wanted = car_.injector_full * room_ms * share * (0.92 + 0.08 * x);
    now.injector_ms = now.fuel_cut || !now.running ? 0.0 : wanted;
}

void HealthyTraces::torque(Instant& now, bool full) {
    const double x = of_highest(now);
    const double curve = car_.peak_nm * (1.0 - 0.35 * std::pow((x - 0.6) / 0.4, 2.0));
    const double filled = now.boost_target_kpa > 0.0 ? now.manifold_kpa / now.boost_target_kpa : 1.0;
    follow(request_, full ? 1.01 * curve : car_.peak_nm * 0.006 * now.pedal_pct, 0.06);
    now.request_nm = request_;
    now.torque_nm = full ? curve * std::min(1.0, filled) : now.running ? request_ : 0.0;
    now.input_rpm = now.gear > 0 ? now.rpm : 0.0;
    follow(gnss_, now.speed_km_h, 0.2);
    now.gnss_km_h = gnss_;
}

void HealthyTraces::electrics(Instant& now) {
    if (chance_.share() < 0.02 * kStep) dip_until_ = now.t + 0.25;
    const double alternator = car_.battery_v - (now.t < dip_until_ ? 0.5 : 0.0);
    const bool cranking = now.running && now.rpm < 350.0;
    now.battery_v = !now.running ? 12.4 : cranking ? 10.4 : alternator;
}

void LateProbes::show(Instant& now) {
    line_[at_] = now.mixture;
    const double late_s = std::min(0.75, car_.probe_fixed_s + car_.probe_flow_s / std::max(now.flow_g_s, 3.0));
    const auto back = static_cast<std::size_t>(std::lround(late_s / kStep));
    const double arrives = line_[(at_ + kLine - back) % kLine];
    at_ = (at_ + 1) % kLine;
    follow(lambda_, arrives, car_.probe_lag_s);
    now.lambda = lambda_;
    follow(fast_, now.gas_c, car_.thermocouple_s);
    follow(slow_, now.gas_c, 7.0);
    now.exhaust_c = 0.78 * fast_ + 0.22 * slow_;
}

}  // namespace revwright::second
