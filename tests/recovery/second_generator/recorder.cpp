#include "recovery/second_generator/recorder.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "recovery/second_generator/chance.h"

namespace revwright::second {
namespace {

enum class Pace { fast, medium, slow };

/// One channel as a logger of this kind has it. Noise and resolution are usual figures; common practice, no source.
struct Row {
    ChannelKey key;
    std::function<double(const Instant&)> read;
    double noise, resolution;
    Pace pace;
    bool always = false;  // no logger goes without
    bool few = false;     // in the short list as well
};

template <class Member>
std::function<double(const Instant&)> of(Member member) {
    return [member](const Instant& now) { return now.*member; };
}

void add_knock(std::vector<Row>& rows, const TraceCar& car, bool by_cylinder, double resolution) {
    const int cylinders = car.job.engine.cylinders;
    if (!by_cylinder) {
        const auto worst = [](const Instant& now) { return *std::ranges::max_element(now.retard_deg); };
        rows.push_back({{Signal::knock_retard_deg, 0}, worst, 0.0, resolution, Pace::fast, true, true});
        return;
    }
    for (int c = 0; c < cylinders; ++c) {
        const auto read = [c](const Instant& now) { return now.retard_deg[static_cast<std::size_t>(c)]; };
        rows.push_back({{Signal::knock_retard_deg, c + 1}, read, 0.0, resolution, Pace::fast, true, true});
    }
}

std::vector<Row> rows_of(const TraceCar& car, Recorder recorder, const std::set<Signal>& needed, Chance& chance) {
    using enum Signal;
    using I = Instant;
    const bool turbo = car.job.engine.turbocharged();
    const bool direct = car.job.engine.injection == Injection::direct;
    std::vector<Row> rows{
        {{engine_speed_rpm}, of(&I::rpm), 4.0, 1.0, Pace::fast, true, true},
        {{pedal_pct}, of(&I::pedal_pct), 0.0, 0.4, Pace::fast, true, true},
        {{throttle_pct}, of(&I::throttle_pct), 0.3, 0.4, Pace::fast, true, true},
        {{manifold_pressure_kpa}, of(&I::manifold_kpa), 1.3, 0.5, Pace::fast, false, !turbo},
        {{lambda}, of(&I::lambda), 0.005, 0.001, Pace::fast, true, true},
        {{lambda_target}, of(&I::lambda_target), 0.0, 0.001, Pace::fast, false, true},
        {{air_mass_flow_g_s}, of(&I::flow_g_s), 0.6, 0.1, Pace::fast, false, false},
        {{spark_base_deg}, of(&I::spark_base_deg), 0.0, 0.75, Pace::medium, false, false},
        {{intake_temp_c}, of(&I::intake_c), 0.15, 0.75, Pace::slow, true, true},
        {{coolant_temp_c}, of(&I::coolant_c), 0.1, 0.75, Pace::slow, true, false},
        {{oil_temp_c}, of(&I::oil_c), 0.1, 1.0, Pace::slow, false, false},
        {{exhaust_temp_c}, of(&I::exhaust_c), 1.2, 1.0, Pace::medium, false, false},
        {{ambient_pressure_kpa}, of(&I::ambient_kpa), 0.0, 0.1, Pace::slow, false, false},
        {{ambient_temp_c}, of(&I::ambient_c), 0.0, 0.5, Pace::slow, false, false},
        {{injector_time_ms}, of(&I::injector_ms), 0.02, 0.01, Pace::fast, false, false},
        {{vehicle_speed_km_h}, of(&I::speed_km_h), 0.1, 0.1, Pace::medium, false, true},
        {{gear}, [](const I& now) { return static_cast<double>(now.gear); }, 0.0, 1.0, Pace::medium, false, false},
        {{torque_nm}, of(&I::torque_nm), 2.0, 1.0, Pace::fast, false, false},
        {{torque_request_nm}, of(&I::request_nm), 0.5, 1.0, Pace::fast, false, false},
        {{trim_short_pct}, of(&I::trim_short_pct), 0.2, 0.1, Pace::medium, false, false},
        {{trim_long_pct}, of(&I::trim_long_pct), 0.0, 0.1, Pace::slow, false, false},
        {{battery_v}, of(&I::battery_v), 0.05, 0.1, Pace::medium, false, false},
        {{misfire_count}, of(&I::misfires), 0.0, 1.0, Pace::medium, false, false},
    };
    if (turbo) {
        rows.push_back({{boost_pressure_kpa}, of(&I::boost_kpa), 0.9, 0.1, Pace::fast, true, true});
        rows.push_back({{boost_target_kpa}, of(&I::boost_target_kpa), 0.0, 0.1, Pace::fast, true, true});
        rows.push_back({{wastegate_duty_pct}, of(&I::duty_pct), 0.6, 0.4, Pace::fast, false, false});
    }
    if (direct) {
        rows.push_back({{rail_pressure_mpa}, of(&I::rail_mpa), 0.12, 0.01, Pace::fast, false, false});
        rows.push_back({{rail_pressure_target_mpa}, of(&I::rail_target_mpa), 0.0, 0.01, Pace::fast, false, false});
    } else {
        rows.push_back({{fuel_pressure_low_kpa}, of(&I::low_kpa), 2.5, 1.0, Pace::fast, false, false});
    }
    if (car.automatic) rows.push_back({{gearbox_input_rpm}, of(&I::input_rpm), 3.0, 1.0, Pace::fast, true, true});
    if (!car.dyno) rows.push_back({{gnss_speed_km_h}, of(&I::gnss_km_h), 0.15, 0.1, Pace::medium, false, false});
    const bool one_trace = chance.one_in(4) || recorder == Recorder::few_50hz;
    const bool by_cylinder = !one_trace || needed.contains(knock_retard_deg);
    add_knock(rows, car, by_cylinder, chance.one_in(2) ? 0.75 : 0.1);
    std::erase_if(rows, [&](const Row& row) {
        const bool missing = recorder == Recorder::few_50hz ? !row.few : !row.always && chance.one_in(5);
        return missing && !needed.contains(row.key.signal);
    });
    return rows;
}

/// The times at which rows are written.
std::vector<double> row_times(double seconds, double hz, double jitter_s, bool lulls, Chance& chance) {
    std::vector<double> times;
    double late = 0.0;
    for (double t = 0.1; t + late < seconds - 0.1; t += 1.0 / hz) {
        if (lulls && chance.one_in(400)) t += 0.15;
        const double at = t + jitter_s * chance.normal();
        if (times.empty() || at > times.back() + 0.002) times.push_back(at);
    }
    return times;
}

double refresh_s(Pace pace) { return pace == Pace::fast ? 0.0 : pace == Pace::medium ? 0.16 : 1.0; }

class Writer {
public:
    Writer(const std::vector<Instant>& instants, Chance& chance) : instants_(instants), chance_(chance) {}

    Channel channel(const Row& row, const std::vector<double>& times, std::size_t base, double hold_s) {
        Channel channel;
        channel.name = to_string(row.key);
        channel.key = row.key;
        channel.unit = info(row.key.signal).unit;
        channel.time_base = base;
        double fresh_at = -1e9, value = 0.0;
        const double phase = hold_s * chance_.share();
        for (const double t : times) {
            if (t - fresh_at >= hold_s - 1e-9) {
                value = sample(row, t);
                fresh_at = fresh_at < 0.0 ? t - phase : t;
            }
            channel.values.push_back(value);
        }
        return channel;
    }

private:
    double sample(const Row& row, double t) {
        const auto last = instants_.size() - 1;
        const auto at = std::min(last, static_cast<std::size_t>(std::max(0.0, t / kInstantSeconds)));
        const Instant& now = instants_[at];
        double value = row.read(now);
        const bool rests = row.key.signal == Signal::engine_speed_rpm && now.rpm == 0.0;
        if (row.noise > 0.0 && !rests) value += row.noise * noise_scale_ * chance_.normal();
        if (row.key.signal == Signal::lambda) value = std::min(value, 1.99);
        if (row.key.signal == Signal::vehicle_speed_km_h || row.key.signal == Signal::gnss_speed_km_h)
            value = std::max(0.0, value);
        return row.resolution * std::round(value / row.resolution);
    }
    const std::vector<Instant>& instants_;
    Chance& chance_;
    double noise_scale_ = chance_.between(0.6, 1.6);
};

/// One sample of one channel goes astray, as happens in healthy logs.
void glitch(Log& log, Chance& chance) {
    constexpr Signal kSometimes[] = {Signal::intake_temp_c, Signal::coolant_temp_c, Signal::battery_v,
                                     Signal::manifold_pressure_kpa, Signal::vehicle_speed_km_h};
    const Signal signal = kSometimes[chance.below(5)];
    for (Channel& channel : log.channels) {
        if (channel.key->signal != signal || channel.values.size() < 10) continue;
        const auto at = static_cast<std::size_t>(chance.below(static_cast<int>(channel.values.size()) - 2)) + 1;
        channel.values[at] = signal == Signal::battery_v ? 9.0 : 0.0;
    }
}

}  // namespace

std::string_view to_string(Recorder recorder) {
    switch (recorder) {
        case Recorder::even_10hz:
            return "even 10 Hz";
        case Recorder::jittered_20hz:
            return "jittered 20 Hz";
        case Recorder::held_25hz:
            return "held 25 Hz";
        case Recorder::groups:
            return "groups 20/10/2 Hz";
        case Recorder::few_50hz:
            return "few 50 Hz";
    }
    return "";
}

Log record(const std::vector<Instant>& instants, const TraceCar& car, Recorder recorder, std::uint64_t seed,
           const std::set<Signal>& needed) {
    Chance chance(seed, 41);
    Log log{.file = "second.csv", .format = "csv", .time_bases = {}, .channels = {}};
    const double seconds = instants.back().t;
    const std::vector<Row> rows = rows_of(car, recorder, needed, chance);
    Writer writer(instants, chance);
    if (recorder == Recorder::groups) {
        for (const double hz : {20.0, 10.0, 2.0})
            log.time_bases.push_back({row_times(seconds, hz, 0.002, false, chance)});
        for (std::size_t g = 0; g < 3; ++g)
            for (double& t : log.time_bases[g].seconds) t += 0.003 * static_cast<double>(g);
        for (const Row& row : rows) {
            const auto base = static_cast<std::size_t>(row.pace);
            log.channels.push_back(writer.channel(row, log.time_bases[base].seconds, base, 0.0));
        }
    } else {
        const double hz = recorder == Recorder::even_10hz       ? 10.0
                          : recorder == Recorder::jittered_20hz ? 20.0
                          : recorder == Recorder::held_25hz     ? 25.0
                                                                : 50.0;
        const bool jitters = recorder == Recorder::jittered_20hz;
        log.time_bases.push_back({row_times(seconds, hz, jitters ? 0.006 : 0.0, jitters, chance)});
        const bool holds = recorder == Recorder::held_25hz;
        for (const Row& row : rows)
            log.channels.push_back(
                writer.channel(row, log.time_bases.front().seconds, 0, holds ? refresh_s(row.pace) : 0.0));
    }
    if (chance.one_in(4)) glitch(log, chance);
    return log;
}

}  // namespace revwright::second
