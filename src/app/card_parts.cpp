#include "app/card_parts.h"

#include <cmath>
#include <fmt/format.h>

#include "draw/scale.h"
#include "physics/vehicle.h"
#include "review/pulls.h"
#include "review/speed_limiter.h"

namespace revwright::app {
namespace {

using draw::with_thousands;

// Our choices, common practice, no source.
constexpr double kFromRpm = 1750.0;
constexpr double kBelowLimiterRpm = 300.0;  // a pull ends before the limiter ends it
constexpr double kWholeRpm = 50.0;
constexpr double kColdCoolantC = 75.0;  // the contract's window: a pull from here up

double stop_of(const JobSheet& job, std::string_view limit) { return job.limits.at(limit).stop.value_or(0.0); }
double mend_of(const JobSheet& job, std::string_view limit) { return job.limits.at(limit).mend.value_or(0.0); }

std::string tyre_size(const Tyre& tyre) {
    return fmt::format("{}/{} R{:g}", tyre.width_mm, tyre.aspect_pct, tyre.rim_in);
}

CardLine tyre_line(const JobSheet& job) {
    const PullEnd end = pull_end(job);
    const std::string reached = fmt::format("{:.0f} km/h at {} rpm in gear {}", end.road_speed_km_h,
                                            with_thousands(end.engine_speed_rpm), end.gear);
    const auto allowed = tyre_speed_km_h(job.car.tyre);
    const std::string size = "Tyres " + tyre_size(job.car.tyre);
    if (!allowed)
        return {size, "read the speed symbol off the tyre: the pull reaches " + reached + "; pressure and tread"};
    return {size, fmt::format("speed symbol {} ({:.0f} km/h) or higher: the pull reaches {}; pressure and tread",
                              job.car.tyre.speed_symbol, *allowed, reached)};
}

CardLift lift(const JobSheet& job, std::string_view limit, std::string what, std::string reading) {
    return {std::move(what), std::move(reading), job.limits.at(limit).source};
}

}  // namespace

PullEnd pull_end(const JobSheet& job) {
    PullEnd end;
    end.engine_speed_rpm = std::floor((job.engine.max_speed_rpm - kBelowLimiterRpm) / kWholeRpm) * kWholeRpm;
    const std::vector<double>& ratios = job.car.gear_ratios;
    end.gear = static_cast<int>(std::min<std::size_t>(3, ratios.size()));
    const double overall = ratios[static_cast<std::size_t>(end.gear - 1)] * job.car.final_drive;
    end.road_speed_km_h = in_kilometres_per_hour(
        road_speed(EngineSpeed{end.engine_speed_rpm}, overall, Length{job.car.rolling_circumference_m}));
    return end;
}

std::vector<CardLine> card_before(const JobSheet& job) {
    std::string fuel = fmt::format("{:g} RON", job.fuel.ron);
    if (job.fuel.ethanol_fraction > 0.0)
        fuel += fmt::format(", {:g} % ethanol by volume", 100.0 * job.fuel.ethanol_fraction);
    std::vector<CardLine> lines{
        {"Fuel in the tank is the fuel agreed", fuel + "; write down pump or delivery and the date"},
        tyre_line(job),
        {"Oil and coolant level, no leak", "hoses and clamps of the new hardware once more by hand"},
        {"Battery charged",
         fmt::format("running voltage {:g} V or more", job.limits.at("battery_v").watch.value_or(0.0))},
        {"No fault stored in the control unit", "a fault lamp before the run ends it here"}};
    return lines;
}

std::vector<CardLine> card_adaptations(const JobSheet& job) {
    return {{"After installing the image", "reset fuel trims and knock adaptation, relearn throttle and idle stop"},
            {"Relearn", "10 minutes of idle and easy driving until the long trims stand still"},
            {"Warm trims, short and long together",
             fmt::format("beyond {:g} % at idle or cruise: no full load, bring the log back as it is",
                         stop_of(job, "fuel_trim_pct"))}};
}

std::vector<CardLine> card_place(const JobSheet& job) {
    std::vector<CardLine> lines{{"Where", "dynamometer, or a closed course; never a public road"},
                                {"Course", "dry, straight, slope below 1 %, the same stretch in both directions"},
                                {"Wind", "below 3 m/s, or write it down"},
                                {"Air", "write down temperature and pressure where the car stands, out of the sun"}};
    if (job.worst_day && job.worst_day->ambient_temp_c)
        lines.back().detail += fmt::format("; not above {:g}\u00a0°C", *job.worst_day->ambient_temp_c);
    return lines;
}

std::vector<CardLine> card_order(const JobSheet& job) {
    const PullEnd end = pull_end(job);
    const double pulls = job.policy.pulls_needed + 1.0;
    const std::string window = fmt::format("coolant {:g} to {:g}\u00a0°C, oil {:g} to {:g}\u00a0°C", kColdCoolantC,
                                           mend_of(job, "coolant_temp_c"), kColdOilC, mend_of(job, "oil_temp_c"));
    return {
        {"Warm up without load", window},
        {"Start the logger; idle 60 s", "pedal released, no consumers"},
        {"Cruise 60 s", "2,000 to 2,500 rpm, steady pedal; read the trims"},
        {"First pull", fmt::format("gear {}, from {} rpm, full pedal in one movement, lift at {} rpm", end.gear,
                                   with_thousands(kFromRpm), with_thousands(end.engine_speed_rpm))},
        {"Read the lift-off values", "all inside: go on. One reached: no further pull with this image"},
        {"Cool down 2 minutes", "easy driving until intake air is back within 5 K of the first pull's start"},
        {fmt::format("{:g} pulls in all", pulls), "the same gear and speeds, every second one in the other direction"},
        {"Cool down 3 minutes, idle 30 s", "stop the logger, then the engine"}};
}

std::vector<CardLift> card_lift(const JobSheet& job) {
    const auto stop = [&](std::string_view limit) { return stop_of(job, limit); };
    std::vector<CardLift> lifts{
        lift(job, "lambda_max", "Lambda, any bank", fmt::format("{:.2f} or leaner", stop("lambda_max"))),
        lift(job, "knock", "Knock retard, any cylinder", fmt::format("{:g}° or more", stop("knock"))),
        lift(job, "exhaust_temp_c", "Exhaust temperature", fmt::format("{:g}\u00a0°C", stop("exhaust_temp_c"))),
        lift(job, "fuel_pressure_drop_pct", "Fuel pressure",
             fmt::format("{:g} % under its target", stop("fuel_pressure_drop_pct")))};
    if (job.engine.turbocharged())
        lifts.push_back(lift(
            job, "boost_overshoot_kpa", "Boost over its target",
            fmt::format("{:g} kPa ({:.2f} bar)", stop("boost_overshoot_kpa"), stop("boost_overshoot_kpa") / 100.0)));
    for (const auto& [limit, what] :
         {std::pair{"intake_temp_c", "Intake air temperature"}, std::pair{"coolant_temp_c", "Coolant temperature"},
          std::pair{"oil_temp_c", "Oil temperature"}})
        lifts.push_back(lift(job, limit, what, fmt::format("{:g}\u00a0°C", stop(limit))));
    lifts.push_back(
        {"Warning lamp, misfire, new noise, smoke, smell", "at the first sign", "common practice, no source"});
    return lifts;
}

std::vector<std::string> card_invalid() {
    // The numbers are those of the pull search, docs/review.md.
    return {"pedal below 95 %, or lifted and pressed again",
            "a gear change in it",
            "wheels or clutch slip, traction or stability control at work",
            fmt::format("oil below {:g}\u00a0°C at its start", kColdOilC),
            "shorter than 1.5 s or 800 rpm",
            "a gap of more than half a second in the log"};
}

}  // namespace revwright::app
