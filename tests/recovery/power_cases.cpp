#include "recovery/power_cases.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <numbers>

#include "recovery/torque_shapes.h"

namespace revwright {
namespace {

constexpr double kRpm = std::numbers::pi / 30.0;
constexpr double kPullEffect = 0.005;  // share by which the torque of one pull differs from the next

const char* name_of(PowerCaseKind kind) {
    constexpr std::array kNames{"known car", "one pull", "both ways", "four pulls", "two revisions"};
    return kNames[static_cast<std::size_t>(kind)];
}

/// Everything of one case that is drawn.
class Draw {
public:
    Draw(PowerCaseKind kind, std::uint64_t seed)
        : known_(kind == PowerCaseKind::known_car), kind_(kind), random_(seed) {
        made_.kind = name_of(kind);
        made_.name = fmt::format("{} {}", made_.kind, seed);
    }

    PowerCase run() {
        draw_car();
        draw_road();
        draw_sensors();
        made_.curves.push_back({random_torque(car_.mass_kg * random_.uniform(0.13, 0.25), random_)});
        if (kind_ == PowerCaseKind::two_revisions)
            made_.curves.push_back({revised_torque(made_.curves.front().torque_nm, random_)});
        made_.told.curves = made_.curves.size();
        const double gear = random_.uniform(0.0, 3.0);
        ratio_ = known_ || (gear >= 1.0 && gear < 2.0) ? random_.uniform(4.8, 5.8)
                 : gear < 1.0                          ? random_.uniform(7.2, 9.0)
                                                       : random_.uniform(3.5, 4.3);
        from_rpm_ = random_.uniform(1800.0, 2300.0), to_rpm_ = random_.uniform(5800.0, 7000.0);
        for (std::size_t curve = 0; curve < made_.curves.size(); ++curve) drive_curve(curve);
        return std::move(made_);
    }

private:
    /// What the estimator is told of a truth: off by a normal error of the size it claims.
    Uncertain told(double truth, double sd) {
        return known_ ? Uncertain{truth, 0.0} : Uncertain{truth + sd * random_.normal(), sd};
    }

    void draw_car() {
        car_ = {.mass_kg = random_.uniform(900.0, 2200.0),
                .radius_m = random_.uniform(0.285, 0.34),
                .efficiency = random_.uniform(0.86, 0.93),
                .wheel_inertia_kg_m2 = random_.uniform(0.7, 1.3),
                .engine_inertia_kg_m2 = random_.uniform(0.10, 0.20),
                .a_n = 0.0,
                .b_n_per_m_per_s = 0.0,
                .c_n_per_m2_per_s2 = random_.uniform(0.32, 0.55)};
        car_.a_n = 9.80665 * car_.mass_kg * random_.uniform(0.009, 0.013);
        RoadCar& of = made_.told.car;
        of.mass_kg = told(car_.mass_kg, car_.mass_kg * random_.uniform(0.01, 0.02));
        of.rolling_radius_m = told(car_.radius_m, 0.01 * car_.radius_m);
        of.efficiency = told(car_.efficiency, 0.01);
        of.a_n = told(car_.a_n, 0.05 * car_.a_n);
        of.c_n_per_m2_per_s2 = told(car_.c_n_per_m2_per_s2, 0.03 * car_.c_n_per_m2_per_s2);
        of.wheel_inertia_kg_m2 = car_.wheel_inertia_kg_m2;
        of.engine_inertia_kg_m2 = car_.engine_inertia_kg_m2;
    }

    void draw_road() {
        slope_ = random_.uniform(-0.01, 0.01), wind_ = random_.uniform(-3.0, 3.0);
        made_.told.slope = told(slope_, random_.uniform(0.002, 0.004));
        made_.told.headwind_m_per_s = told(wind_, 1.5);
    }

    void draw_sensors() {
        constexpr std::array kRates{4.0, 5.0, 10.0, 20.0, 50.0};
        constexpr std::array kRounding{1.0, 10.0};
        const double rate = made_.rate_hz = known_ ? 10.0 : random_.one_of<double>(kRates);
        const double jitter = (rate == 4.0 ? 0.2 : known_ ? 0.1 : random_.uniform(0.0, 0.1)) / rate;
        sensors_.road_m_per_s = {.rate_hz = rate,
                                 .noise = known_ ? 0.05 : random_.uniform(0.02, 0.1),
                                 .step = rate == 4.0 && random_.uniform(0.0, 1.0) < 0.5 ? 1.0 / 3.6 : 0.01,
                                 .jitter_s = jitter};
        sensors_.engine_rpm = {.rate_hz = rate,
                               .noise = random_.uniform(1.0, 10.0),
                               .step = random_.one_of<double>(kRounding),
                               .jitter_s = jitter};
        const double which = known_ ? 0.0 : random_.uniform(0.0, 3.0);
        sensors_.road = which < 1.0 || which > 2.0, sensors_.engine = which >= 1.0;
        made_.channels = !sensors_.engine ? "road speed" : sensors_.road ? "both" : "engine speed";
        if (known_) return;
        sensors_.road_scale = 1.0 + 0.002 * random_.normal();
        made_.told.road_speed_scale = {1.0, 0.002};
        made_.told.pull_effect = {0.0, kPullEffect};
        if (!sensors_.road || !sensors_.engine) return;
        constexpr double kMostDelay = 0.15;
        sensors_.road_m_per_s.delay_s = random_.uniform(0.0, kMostDelay);
        made_.told.road_speed_delay_s = {0.5 * kMostDelay, kMostDelay / std::sqrt(12.0)};
    }

    void drive_curve(std::size_t curve) {
        const bool pair = kind_ == PowerCaseKind::both_ways || kind_ == PowerCaseKind::two_revisions;
        const int pulls = kind_ == PowerCaseKind::four_pulls ? 4 : pair ? 2 : 1;
        for (int i = 0; i < pulls; ++i) {
            const double along = i % 2 == 0 ? 1.0 : -1.0;
            const double own_slope = known_ ? 0.0 : 0.0005 * random_.normal();
            const double own_wind = known_ ? 0.0 : 0.5 * random_.normal();
            made_.told.runs.push_back(
                {.along = along, .slope = {0.0, known_ ? 0.0 : 0.0005}, .headwind_m_per_s = {0.0, known_ ? 0.0 : 0.5}});
            log_pull(made_, car_,
                     {.overall_ratio = ratio_,
                      .from_rpm = from_rpm_ + random_.uniform(-150.0, 150.0),
                      .to_rpm = to_rpm_ + random_.uniform(-100.0, 100.0),
                      .slope = along * slope_ + own_slope,
                      .headwind_m_per_s = along * wind_ + own_wind,
                      .torque_factor = known_ ? 1.0 : 1.0 + kPullEffect * random_.normal(),
                      .torque_nm = made_.curves[curve].torque_nm},
                     {.run = made_.told.runs.size() - 1, .curve = curve}, sensors_, random_);
        }
    }

    bool known_;
    PowerCaseKind kind_;
    PowerRandom random_;
    PowerCase made_;
    TrueCar car_;
    PowerSensors sensors_;
    double slope_ = 0.0, wind_ = 0.0, ratio_ = 5.2, from_rpm_ = 2000.0, to_rpm_ = 6600.0;
};

}  // namespace

PowerCase power_case(PowerCaseKind kind, std::uint64_t seed) { return Draw(kind, seed).run(); }

void log_pull(PowerCase& into, const TrueCar& car, const TruePull& pull, const RoadPull& place,
              const PowerSensors& sensors, PowerRandom& random) {
    const SpeedTrace trace = drive(car, pull);
    const double rpm = pull.overall_ratio / car.radius_m / kRpm;
    TrueCurve& curve = into.curves[place.curve];
    const auto cover = [&](const SpeedSamples& samples, double delay) {
        if (samples.empty()) return;
        curve.from_rpm = std::min(curve.from_rpm, rpm * trace.road_m_per_s(samples.time_s.front() - delay));
        curve.to_rpm = std::max(curve.to_rpm, rpm * trace.road_m_per_s(samples.time_s.back() - delay));
    };
    RoadPull logged = place;
    logged.overall_ratio = pull.overall_ratio;
    if (sensors.road) {
        logged.road_m_per_s = read(trace, sensors.road_scale, sensors.road_m_per_s, random);
        cover(logged.road_m_per_s, sensors.road_m_per_s.delay_s);
    }
    if (sensors.engine) {
        logged.engine_rad_s = read(trace, rpm, sensors.engine_rpm, random);
        cover(logged.engine_rad_s, 0.0);
        for (double& value : logged.engine_rad_s.value) value *= kRpm;
    }
    into.told.pulls.push_back(std::move(logged));
}

}  // namespace revwright
