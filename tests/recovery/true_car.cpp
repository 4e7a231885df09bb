#include "recovery/true_car.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace revwright {
namespace {

constexpr double kMillisecond = 0.001, kGravity = 9.80665, kLongest = 60.0;
constexpr double kHardlyGains = 0.1;  // m/s^2; nobody would keep such a pull

}  // namespace

double SpeedTrace::seconds() const { return kMillisecond * static_cast<double>(road_m_per_s_.size() - 1); }

double SpeedTrace::road_m_per_s(double time_s) const {
    const double place = std::clamp(time_s, 0.0, seconds()) / kMillisecond;
    const auto before = std::min(static_cast<std::size_t>(place), road_m_per_s_.size() - 2);
    const double part = place - static_cast<double>(before);
    return (1.0 - part) * road_m_per_s_[before] + part * road_m_per_s_[before + 1];
}

SpeedTrace drive(const TrueCar& car, const TruePull& pull) {
    const double rpm_per_m_per_s = 30.0 / std::numbers::pi * pull.overall_ratio / car.radius_m;
    const double turns = pull.overall_ratio / car.radius_m;
    const double moved = car.mass_kg + 4.0 * car.wheel_inertia_kg_m2 / (car.radius_m * car.radius_m) +
                         car.efficiency * car.engine_inertia_kg_m2 * turns * turns;
    const double climb = car.mass_kg * kGravity * std::sin(std::atan(pull.slope));
    const auto gain = [&](double v) {
        const double thrust = pull.torque_factor * pull.torque_nm(v * rpm_per_m_per_s) * car.efficiency * turns;
        const double air = v + pull.headwind_m_per_s;
        return (thrust - car.a_n - car.b_n_per_m_per_s * v - car.c_n_per_m2_per_s2 * air * std::abs(air) - climb) /
               moved;
    };
    double v = pull.from_rpm / rpm_per_m_per_s;
    std::vector<double> speeds{v};
    while (v * rpm_per_m_per_s < pull.to_rpm && static_cast<double>(speeds.size()) * kMillisecond < kLongest) {
        const double now = gain(v);
        if (now < kHardlyGains) break;
        v += kMillisecond * gain(v + 0.5 * kMillisecond * now);
        speeds.push_back(v);
    }
    if (speeds.size() == 1) speeds.push_back(v);
    return SpeedTrace(std::move(speeds));
}

SpeedSamples read(const SpeedTrace& trace, double per_m_per_s, const SpeedSensor& sensor, PowerRandom& random) {
    SpeedSamples samples;
    const double interval = 1.0 / sensor.rate_hz;
    const double first = sensor.jitter_s + random.uniform(0.0, interval);
    for (int k = 0; first + k * interval <= trace.seconds() - sensor.jitter_s; ++k) {
        const double stamp = first + k * interval;
        const double at = stamp + random.uniform(-sensor.jitter_s, sensor.jitter_s);
        const double value = trace.road_m_per_s(at) * per_m_per_s + sensor.noise * random.normal();
        samples.time_s.push_back(stamp + sensor.delay_s);
        samples.value.push_back(sensor.step > 0.0 ? std::round(value / sensor.step) * sensor.step : value);
    }
    return samples;
}

}  // namespace revwright
