#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <set>
#include <vector>

#include "model/job.h"
#include "model/log.h"

namespace revwright::testing {

/// Noise that is the same everywhere: a 64-bit congruential generator and a sum of twelve evenly spread numbers.
class Noise {
public:
    explicit Noise(std::uint64_t seed) : state_(seed * 2862933555777941757ULL + 3037000493ULL) {}
    double normal() {
        double sum = -6.0;
        for (int i = 0; i < 12; ++i) sum += uniform();
        return sum;
    }

private:
    double uniform() {
        state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
        return static_cast<double>(state_ >> 11) * 0x1.0p-53;
    }
    std::uint64_t state_;
};

/// A two-litre turbocharged four-cylinder that only tests know; shares nothing with the rig.
inline JobSheet test_job() {
    JobSheet job;
    job.car.mass_kg = 1450.0;
    job.car.gear_ratios = {3.6, 2.1, 1.4, 1.05, 0.85};
    job.car.final_drive = 4.0;
    job.car.rolling_circumference_m = 1.95;
    job.engine.displacement_cm3 = 1998.0;
    job.engine.cylinders = 4;
    job.engine.compression_ratio = 9.8;
    job.engine.aspiration = Aspiration::turbocharged;
    job.engine.injection = Injection::direct;
    job.engine.max_speed_rpm = 6500.0;
    job.fuel.ron = 98.0;
    job.limits = Limits(true);
    return job;
}

/// One moment of the drive; a test's tweak may change any of it.
struct Moment {
    double t = 0.0;
    int pull = -1;       // which full-pedal stretch, -1 outside
    double since = 0.0;  // seconds since its start
    double rpm = 800.0, pedal = 0.0, throttle = 5.0, road_kmh = 0.0, gnss_kmh = 0.0, input_rpm = 800.0;
    int gear = 0;
    double boost = 100.0, boost_target = 100.0, flow = 5.0;
    double lambda_target = 1.0;
    double mixture = 1.0;  // true lambda; the probe adds delay and lag
    double mixture_2 = 1.0;
    std::array<double, 4> retard{};
    double rail = 10.0, rail_target = 10.0, low_pressure = 500.0;
    double intake = 35.0, coolant = 90.0, oil = 95.0, exhaust = 500.0;
    double request = 50.0, torque = 45.0;
    double injector = 1.5;  // ms
    double trim_short = 1.0, trim_long = 2.0;
    double battery = 14.0;
    double misfires = 0.0;  // counted since the start, all cylinders
};

using Tweak = std::function<void(Moment&)>;

/// What its two litres take in at a volumetric efficiency of 0.92, g/s.
inline double air_flow(const Moment& m) { return m.rpm * m.boost * 1.732e-4 * 308.15 / (m.intake + 273.15); }

inline constexpr double kProbeLag = 0.06;  // of the test car
/// Delay of its probe: 40 ms and 5 g of exhaust.
inline double probe_delay(double flow_g_s) { return 0.04 + 5.0 / flow_g_s; }

struct DriveOptions {
    double hz = 20.0;
    double noise = 1.0;  // times usual sensor noise
    std::uint64_t seed = 1;
    Tweak tweak = {};
    std::set<Signal> without = {};
    bool two_banks = false;
    bool one_retard_trace = false;
};

/// A drive as a list of phases, simulated every 5 ms and logged at the given rate.
class TestDrive {
public:
    explicit TestDrive(DriveOptions options = {}) : options_(std::move(options)), noise_(options_.seed) {}

    TestDrive& idle(double seconds) { return run(seconds, 0, 800.0, 800.0, 0.0); }
    TestDrive& cruise(double seconds, int gear, double rpm) { return run(seconds, gear, rpm, rpm, 20.0); }
    TestDrive& full(int gear, double from, double to, double seconds) {
        ++pulls_;
        pulling_ = true;
        run(seconds, gear, from, to, 100.0);
        pulling_ = false;
        return *this;
    }
    TestDrive& accelerate(int gear, double from, double to, double seconds, double pedal) {
        return run(seconds, gear, from, to, pedal);
    }
    /// Idle, then so many clean pulls in third from 1,800 to 6,300 rpm with cruises between.
    TestDrive& clean_pulls(int count) {
        idle(4.0);
        for (int i = 0; i < count; ++i) cruise(5.0, 3, 1800.0).full(3, 1800.0, 6300.0, 7.0);
        return cruise(3.0, 4, 2500.0);
    }

    double now() const { return t_; }
    Log log() const {
        Log log{.file = "test.csv", .format = "csv", .time_bases = {{times_}}, .channels = {}};
        for (const auto& [key, values] : columns_) {
            Channel channel;
            channel.name = to_string(key);
            channel.key = key;
            channel.unit = info(key.signal).unit;
            channel.values = values;
            log.channels.push_back(std::move(channel));
        }
        return log;
    }

private:
    static constexpr double kStep = 0.005;

    TestDrive& run(double seconds, int gear, double from, double to, double pedal) {
        const JobSheet job = test_job();
        const int steps = static_cast<int>(std::lround(seconds / kStep));
        for (int i = 0; i < steps; ++i) {
            Moment m;
            m.t = t_;
            m.since = i * kStep;
            m.pull = pulling_ ? pulls_ - 1 : -1;
            m.gear = gear;
            m.rpm = m.input_rpm = from + (to - from) * m.since / seconds;
            m.pedal = m.throttle = pedal;
            if (gear > 0)
                m.road_kmh = m.rpm / 60.0 /
                             (job.car.gear_ratios[static_cast<std::size_t>(gear) - 1] * job.car.final_drive) *
                             job.car.rolling_circumference_m * 3.6;
            m.gnss_kmh = m.road_kmh;
            fill(m);
            const double flow = m.flow;
            if (options_.tweak) options_.tweak(m);
            if (m.flow == flow) m.flow = air_flow(m);  // a tweak of pressure or temperature changes it too
            step(m);
        }
        return *this;
    }

    void fill(Moment& m) {
        const bool full = m.pedal > 95.0;
        m.boost_target = full ? 200.0 : 100.0;
        boost_ += kStep / 0.35 * (m.boost_target - boost_);
        m.boost = boost_;
        m.flow = air_flow(m);
        m.lambda_target = full ? 0.86 - 0.04 * std::clamp((m.rpm - 3000.0) / 2500.0, 0.0, 1.0) : 1.0;
        m.mixture = m.mixture_2 = m.lambda_target;
        m.rail_target = m.rail = full ? 18.0 : 8.0;
        exhaust_ += kStep / 2.0 * ((full ? 760.0 : 500.0) - exhaust_);
        m.exhaust = exhaust_;
        m.request = full ? 350.0 : 50.0;
        m.torque = full ? 1.6 * m.boost : 45.0;
        m.injector = full ? 3.6 * m.boost / 200.0 : 1.5;
    }

    void step(Moment& m) {
        mixtures_.push_back({m.mixture, m.mixture_2});
        const std::size_t late = static_cast<std::size_t>(std::lround(probe_delay(m.flow) / kStep));
        const auto arrived = mixtures_.size() > late ? mixtures_[mixtures_.size() - 1 - late] : mixtures_.front();
        if (mixtures_.size() > 400) mixtures_.pop_front();
        for (std::size_t b = 0; b < 2; ++b)
            probe_[b] += (1.0 - std::exp(-kStep / kProbeLag)) * (arrived[b] - probe_[b]);
        if (t_ >= next_log_ - 1e-9) {
            record(m);
            next_log_ += 1.0 / options_.hz;
        }
        t_ += kStep;
    }

    void put(ChannelKey key, double value, double noise) {
        if (options_.without.contains(key.signal)) return;
        columns_[key].push_back(value + options_.noise * noise * noise_.normal());
    }

    void record(const Moment& m) {
        using enum Signal;
        times_.push_back(t_);
        put({engine_speed_rpm}, m.rpm, 3.0);
        put({pedal_pct}, m.pedal, 0.0);
        put({throttle_pct}, m.throttle, 0.2);
        put({vehicle_speed_km_h}, m.road_kmh, 0.1);
        put({gear}, m.gear, 0.0);
        put({boost_pressure_kpa}, m.boost, 0.6);
        put({boost_target_kpa}, m.boost_target, 0.0);
        put({air_mass_flow_g_s}, m.flow, 0.4);
        if (options_.two_banks) {
            put({lambda, 1}, probe_[0], 0.004);
            put({lambda, 2}, probe_[1], 0.004);
        } else {
            put({lambda}, probe_[0], 0.004);
        }
        put({lambda_target}, m.lambda_target, 0.0);
        if (options_.one_retard_trace)
            put({knock_retard_deg}, *std::ranges::max_element(m.retard), 0.0);
        else
            for (int c = 1; c <= 4; ++c) put({knock_retard_deg, c}, m.retard[static_cast<std::size_t>(c) - 1], 0.0);
        put({rail_pressure_mpa}, m.rail, 0.05);
        put({rail_pressure_target_mpa}, m.rail_target, 0.0);
        put({intake_temp_c}, m.intake, 0.2);
        put({coolant_temp_c}, m.coolant, 0.2);
        put({oil_temp_c}, m.oil, 0.2);
        put({exhaust_temp_c}, m.exhaust, 1.0);
        put({torque_request_nm}, m.request, 0.0);
        put({gnss_speed_km_h}, m.gnss_kmh, 0.1);
        put({gearbox_input_rpm}, m.input_rpm, 3.0);
        put({torque_nm}, m.torque, 1.0);
        put({injector_time_ms}, m.injector, 0.01);
        put({trim_short_pct}, m.trim_short, 0.8);
        put({trim_long_pct}, m.trim_long, 0.0);
        put({battery_v}, m.battery, 0.05);
        put({misfire_count}, m.misfires, 0.0);
    }

    DriveOptions options_;
    Noise noise_;
    double t_ = 0.0, next_log_ = 0.0, boost_ = 100.0, exhaust_ = 500.0;
    std::array<double, 2> probe_{1.0, 1.0};
    std::deque<std::array<double, 2>> mixtures_;
    int pulls_ = 0;
    bool pulling_ = false;
    std::vector<double> times_;
    std::map<ChannelKey, std::vector<double>> columns_;
};

}  // namespace revwright::testing
