#include "rig/sensors.h"

#include <algorithm>
#include <cmath>

#include "rig/random.h"

namespace revwright::rig {
namespace {

constexpr std::uint64_t kSensorStream = 5;

/// One recorded channel: where it comes from, noise (one deviation), resolution, and how often a slow channel of the
/// mixed logger is refreshed. Own choice within what sensors and buses of this kind do.
struct Recorded {
    Signal signal;
    double Moment::* source;
    double factor, noise, resolution, refresh_hz;
    double low = -1e9, high = 1e9;
};

constexpr double kFast = 25.0;

constexpr Recorded kChannels[] = {
    {Signal::engine_speed_rpm, &Moment::rpm, 1.0, 1.0, 0.5, kFast, 0.0},
    {Signal::pedal_pct, &Moment::pedal_pct, 1.0, 0.05, 0.1, kFast, 0.0, 100.0},
    {Signal::throttle_pct, &Moment::throttle_pct, 1.0, 0.15, 0.1, kFast, 0.0, 100.0},
    {Signal::manifold_pressure_kpa, &Moment::manifold_kpa, 1.0, 0.5, 0.1, kFast},
    {Signal::boost_pressure_kpa, &Moment::boost_kpa, 1.0, 0.5, 0.1, kFast},
    {Signal::boost_target_kpa, &Moment::boost_target_kpa, 1.0, 0.0, 0.1, kFast},
    {Signal::ambient_pressure_kpa, &Moment::ambient_kpa, 1.0, 0.0, 0.1, 1.0},
    {Signal::ambient_temp_c, &Moment::ambient_c, 1.0, 0.0, 0.5, 1.0},
    {Signal::air_mass_flow_g_s, &Moment::air_measured_g_s, 1.0, 0.25, 0.05, kFast, 0.0},
    {Signal::charge_pct, &Moment::charge_measured_pct, 1.0, 0.2, 0.1, kFast, 0.0},
    {Signal::lambda, &Moment::lambda_seen, 1.0, 0.003, 0.001, kFast, 0.65, 1.99},
    {Signal::lambda_target, &Moment::lambda_target, 1.0, 0.0, 0.001, kFast},
    {Signal::spark_base_deg, &Moment::spark_base_deg, 1.0, 0.0, 0.05, kFast},
    {Signal::intake_temp_c, &Moment::charge_temp_seen_c, 1.0, 0.1, 0.25, 5.0},
    {Signal::coolant_temp_c, &Moment::coolant_c, 1.0, 0.1, 0.5, 1.0},
    {Signal::oil_temp_c, &Moment::oil_c, 1.0, 0.1, 0.5, 1.0},
    {Signal::exhaust_temp_c, &Moment::exhaust_seen_c, 1.0, 1.0, 1.0, 5.0},
    {Signal::injector_time_ms, &Moment::injector_ms, 1.0, 0.01, 0.005, kFast, 0.0},
    {Signal::vehicle_speed_km_h, &Moment::speed_m_s, 3.6, 0.05, 0.05, 12.5, 0.0},
    {Signal::torque_nm, &Moment::torque_estimate_nm, 1.0, 0.3, 0.5, kFast},
    {Signal::torque_request_nm, &Moment::torque_request_nm, 1.0, 0.0, 0.5, kFast},
    {Signal::trim_short_pct, &Moment::trim_short_pct, 1.0, 0.05, 0.1, 2.5},
    {Signal::trim_long_pct, &Moment::trim_long_pct, 1.0, 0.0, 0.1, 1.0},
    {Signal::battery_v, &Moment::battery_v, 1.0, 0.04, 0.05, 1.0},
    {Signal::misfire_count, &Moment::misfires, 1.0, 0.0, 1.0, 5.0, 0.0},
};
constexpr Recorded kWastegate{Signal::wastegate_duty_pct, &Moment::wastegate_pct, 1.0, 0.0, 0.4, kFast, 0.0, 100.0};
constexpr Recorded kDirect[] = {
    {Signal::rail_pressure_mpa, &Moment::rail_mpa, 1.0, 0.08, 0.02, 12.5, 0.0},
    {Signal::rail_pressure_target_mpa, &Moment::rail_target_mpa, 1.0, 0.0, 0.02, 12.5},
};
constexpr Recorded kPort{Signal::fuel_pressure_low_kpa, &Moment::low_pressure_kpa, 1.0, 2.0, 1.0, 12.5, 0.0};

double quantised(double value, double resolution) { return resolution * std::round(value / resolution); }

/// Rows between refreshes; other loggers refresh everything in every row.
std::size_t stride_of(const Recorded& row, LoggerKind kind) {
    return kind == LoggerKind::mixed_25hz ? static_cast<std::size_t>(std::lround(kFast / row.refresh_hz)) : 1;
}

class Recorder {
public:
    Recorder(const std::vector<Moment>& moments, LoggerKind kind, std::uint64_t seed)
        : moments_(moments), kind_(kind), random_(seed, kSensorStream) {
        log_.format = "csv";
        log_.time_bases.resize(1);
        // The stamp is made a little before or after the sample was taken.
        const double jitter = kind == LoggerKind::even_20hz ? 0.001 : 0.003;
        double last = -1.0;
        for (const Moment& m : moments_) {
            const double stamp = quantised(m.time_s + random_.normal_within(0.0, jitter, 2.5), 0.001);
            last = std::max(stamp, last + 0.001);
            log_.time_bases[0].seconds.push_back(std::max(last, 0.0));
            last = log_.time_bases[0].seconds.back();
        }
    }

    template <class Source>
    void add(ChannelKey key, const Recorded& row, const Source& source) {
        Channel channel{.name = to_string(key),
                        .unit_in_log = std::string{info(key.signal).unit},
                        .key = key,
                        .unit = std::string{info(key.signal).unit},
                        .time_base = 0,
                        .values = {}};
        channel.values.reserve(moments_.size());
        const std::size_t stride = stride_of(row, kind_);
        double held = 0.0;
        for (std::size_t i = 0; i < moments_.size(); ++i) {
            if (i % stride == 0) {
                const double noisy = row.factor * source(moments_[i]) +
                                     (row.noise > 0.0 ? random_.normal_within(0.0, row.noise, 4.0) : 0.0);
                held = std::clamp(quantised(noisy, row.resolution), row.low, row.high);
            }
            channel.values.push_back(held);
        }
        log_.channels.push_back(std::move(channel));
    }
    void add(const Recorded& row) {
        add({row.signal, 0}, row, [&](const Moment& m) { return m.*row.source; });
    }
    Log take() { return std::move(log_); }

private:
    const std::vector<Moment>& moments_;
    LoggerKind kind_;
    Random random_;
    Log log_;
};

}  // namespace

void LambdaProbe::step(double lambda, double exhaust_flow_kg_s, double flow_scale_kg_s) {
    line_[at_ % kLine] = lambda;
    // b belongs to an exhaust of the example's size; it grows with the engine.
    const double volume_kg = car_->lambda_volume_kg * flow_scale_kg_s / 0.18;
    const double delay_s = car_->lambda_delay_s + volume_kg / std::max(exhaust_flow_kg_s, 1e-3);
    const auto back = static_cast<std::size_t>(std::min(std::lround(delay_s * 1e3), static_cast<long>(kLine - 1)));
    const double arriving = at_ >= back ? line_[(at_ - back) % kLine] : 1.0;
    reading_ += 1e-3 * (arriving - reading_) / car_->lambda_lag_s;
    ++at_;
}

double logger_period_s(LoggerKind kind) {
    switch (kind) {
        case LoggerKind::even_20hz:
            return 0.05;
        case LoggerKind::even_10hz:
            return 0.10;
        case LoggerKind::mixed_25hz:
            return 0.04;
    }
    return 0.05;
}

Log record(const std::vector<Moment>& moments, LoggerKind kind, int cylinders, bool direct_injection, bool turbocharged,
           std::uint64_t seed) {
    Recorder recorder{moments, kind, seed};
    for (const Recorded& row : kChannels) recorder.add(row);
    // Delivered spark as a mean over the cylinders; each cylinder's retard stands beside it.
    const Recorded spark{Signal::spark_deg, &Moment::spark_base_deg, 1.0, 0.0, 0.05, kFast};
    recorder.add({Signal::spark_deg, 0}, spark, [](const Moment& m) { return m.spark_base_deg - m.mean_retard_deg; });
    const Recorded retard{Signal::knock_retard_deg, &Moment::mean_retard_deg, 1.0, 0.0, 0.05, kFast, 0.0};
    for (int c = 0; c < cylinders; ++c)
        recorder.add({Signal::knock_retard_deg, c + 1}, retard,
                     [c](const Moment& m) { return m.retard_deg[static_cast<std::size_t>(c)]; });
    if (turbocharged) recorder.add(kWastegate);
    if (direct_injection)
        for (const Recorded& row : kDirect) recorder.add(row);
    else
        recorder.add(kPort);
    const Recorded gear{Signal::gear, nullptr, 1.0, 0.0, 1.0, 12.5, 0.0};
    recorder.add({Signal::gear, 0}, gear, [](const Moment& m) { return m.gear; });
    return recorder.take();
}

}  // namespace revwright::rig
