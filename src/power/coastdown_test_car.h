#pragma once

#include <cmath>
#include <cstdint>
#include <random>

#include "power/coastdown.h"

namespace revwright {

/// Noise of a fixed seed: sums of twelve uniform numbers, near enough to a normal one.
class CoastTestNoise {
public:
    explicit CoastTestNoise(std::uint64_t seed) : random_(seed) {}
    double uniform() { return static_cast<double>(random_() >> 11) * 0x1p-53; }
    double normal() {
        double sum = -6.0;
        for (int i = 0; i < 12; ++i) sum += uniform();
        return sum;
    }

private:
    std::mt19937_64 random_;
};

/// A car that coasts in tests: it knows the truth, and shares no code with the fit. Its steps are of 5 ms.
struct CoastTestCar {
    double mass_kg = 1480.0, turning_mass_kg = 44.0;
    double a_n = 150.0, b_n_per_m_per_s = 1.5, c_n_per_m2_per_s2 = 0.4;
    double slope = 0.0, headwind_m_per_s = 0.0;  // in the direction of along = +1
    double gust_m_per_s2 = 0.0, gust_s = 2.0;    // random push, and how long it lasts
};

struct CoastTestRun {
    double from_m_per_s = 32.0, to_m_per_s = 5.0, rate_hz = 4.0, noise_m_per_s = 0.05;
};

inline CoastdownRun coast_down(const CoastTestCar& car, double along, const CoastTestRun& drive,
                               CoastTestNoise& noise) {
    constexpr double kStep = 0.005, kPull = 9.80665;
    CoastdownRun run{.road = {.along = along}};
    double gust = car.gust_m_per_s2 * noise.normal();
    const auto rate = [&](double v) {
        const double air = v + along * car.headwind_m_per_s;
        const double force = car.a_n + car.b_n_per_m_per_s * v + car.c_n_per_m2_per_s2 * air * std::abs(air) +
                             car.mass_kg * kPull * std::sin(std::atan(along * car.slope));
        return gust - force / (car.mass_kg + car.turning_mass_kg);
    };
    const double stays = std::exp(-kStep / car.gust_s), renewed = std::sqrt(1.0 - stays * stays);
    double v = drive.from_m_per_s, next = noise.uniform() / drive.rate_hz;
    for (int i = 0; v > drive.to_m_per_s && i < 100000; ++i) {
        if (i * kStep >= next) {
            next += 1.0 / drive.rate_hz;
            run.speed_m_per_s.time_s.push_back(i * kStep);
            run.speed_m_per_s.value.push_back(v + drive.noise_m_per_s * noise.normal());
        }
        v += kStep * rate(v + 0.5 * kStep * rate(v));
        if (car.gust_m_per_s2 > 0.0) gust = stays * gust + renewed * car.gust_m_per_s2 * noise.normal();
    }
    return run;
}

/// What the fit is told of that car.
inline CoastdownTest told_of(const CoastTestCar& car) {
    return {.mass_kg = {car.mass_kg, 0.0}, .turning_mass_kg = {car.turning_mass_kg, 0.0}};
}

inline Eigen::Vector3d true_load(const CoastTestCar& car) {
    return {car.a_n, car.b_n_per_m_per_s, car.c_n_per_m2_per_s2};
}

}  // namespace revwright
