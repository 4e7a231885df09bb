#pragma once

#include <cmath>
#include <cstdint>
#include <functional>
#include <numbers>

#include "power/road_drive.h"

namespace revwright {

/// A car that is driven in tests: it knows the truth, and shares no code with the estimator. Its state is road speed,
/// its steps are of a millisecond.
struct RoadTestCar {
    double mass_kg = 1480.0, radius_m = 0.31, efficiency = 0.88;
    double a_n = 150.0, c_n_per_m2_per_s2 = 0.4;
    double slope = 0.0, headwind_m_per_s = 0.0;  // in the direction of along = +1
    double ratio = 5.2;
    std::function<double(double rpm)> torque_nm = [](double rpm) {
        const double build_up = 1.0 - 0.4 / (1.0 + std::exp((rpm - 2400.0) / 250.0));
        return 320.0 * build_up * (rpm > 4800.0 ? 1.0 - 0.06 * std::pow((rpm - 4800.0) / 1000.0, 2) : 1.0);
    };
};

/// Noise of a fixed seed: sums of twelve uniform numbers, near enough to a normal one.
class RoadTestNoise {
public:
    explicit RoadTestNoise(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 1) {}
    double uniform() {
        state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
        return static_cast<double>(state_ >> 11) * 0x1p-53;
    }
    double normal() {
        double sum = -6.0;
        for (int i = 0; i < 12; ++i) sum += uniform();
        return sum;
    }

private:
    std::uint64_t state_;
};

struct RoadTestSensors {
    double rate_hz = 10.0;
    double road_noise_m_per_s = 0.05, engine_noise_rpm = 2.0;
    bool road = true, engine = false;
};

/// A pull from 2,000 to 6,600 rpm as the sensors see it.
inline RoadPull drive_pull(const RoadTestCar& car, double along, const RoadTestSensors& sensors, RoadTestNoise& noise) {
    constexpr double kStep = 0.001, kGravity = 9.80665;
    const double metres_per_turn = 2.0 * std::numbers::pi * car.radius_m / car.ratio;
    const double rotating =
        4.0 * 1.0 / std::pow(car.radius_m, 2) + car.efficiency * 0.15 * std::pow(car.ratio / car.radius_m, 2);
    const auto acceleration = [&](double v) {
        const double push = car.torque_nm(v / metres_per_turn * 60.0) * car.efficiency * car.ratio / car.radius_m;
        const double air = v + along * car.headwind_m_per_s;
        return (push - car.a_n - car.c_n_per_m2_per_s2 * air * std::abs(air) -
                car.mass_kg * kGravity * std::sin(std::atan(along * car.slope))) /
               (car.mass_kg + rotating);
    };
    RoadPull pull{.overall_ratio = car.ratio};
    double v = 2000.0 / 60.0 * metres_per_turn, next = noise.uniform() / sensors.rate_hz;
    for (double t = 0.0; v / metres_per_turn * 60.0 < 6600.0 && t < 60.0; t += kStep) {
        if (t >= next) {
            next += 1.0 / sensors.rate_hz;
            if (sensors.road) {
                pull.road_m_per_s.time_s.push_back(t);
                pull.road_m_per_s.value.push_back(v + sensors.road_noise_m_per_s * noise.normal());
            }
            if (sensors.engine) {
                const double rpm = v / metres_per_turn * 60.0 + sensors.engine_noise_rpm * noise.normal();
                pull.engine_rad_s.time_s.push_back(t);
                pull.engine_rad_s.value.push_back(std::round(rpm) * std::numbers::pi / 30.0);
            }
        }
        v += kStep * acceleration(v + 0.5 * kStep * acceleration(v));
    }
    return pull;
}

/// What the estimator is told of that car: exactly, or with the errors a workshop has.
inline RoadDrive told_of(const RoadTestCar& car, bool exactly) {
    const auto known = [&](double value, double sd) { return Uncertain{value, exactly ? 0.0 : sd}; };
    RoadDrive drive;
    drive.car = {.mass_kg = known(car.mass_kg, 0.01 * car.mass_kg),
                 .rolling_radius_m = known(car.radius_m, 0.01 * car.radius_m),
                 .efficiency = known(car.efficiency, 0.01),
                 .a_n = known(car.a_n, 0.05 * car.a_n),
                 .b_n_per_m_per_s = {},
                 .c_n_per_m2_per_s2 = known(car.c_n_per_m2_per_s2, 0.03 * car.c_n_per_m2_per_s2)};
    drive.slope = known(exactly ? car.slope : 0.0, 0.002);
    drive.headwind_m_per_s = known(exactly ? car.headwind_m_per_s : 0.0, 1.5);
    return drive;
}

inline void add_pull(RoadDrive& drive, RoadPull pull, double along, std::size_t curve = 0) {
    pull.run = drive.runs.size();
    pull.curve = curve;
    drive.runs.push_back({.along = along});
    drive.pulls.push_back(std::move(pull));
}

}  // namespace revwright
