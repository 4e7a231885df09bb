#include "naming/lambda_scale.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>

namespace revwright {
namespace {

// Our choice, common practice, no source.
constexpr double kLambdaFrom = 0.5, kLambdaTo = 1.6;     // the middle of a log in lambda
constexpr double kAirFuelFrom = 7.0, kAirFuelTo = 22.0;  // and in air-fuel ratio, from ethanol to lean petrol
constexpr double kStoichiometricFrom = 8.5, kStoichiometricTo = 15.2;  // of any fuel sold for these engines
constexpr double kPlateauBand = 0.01, kPlateauShare = 0.4;             // this share of idle and part load within +- 1 %
constexpr double kPlateauAgrees = 0.025;                               // of lambda 1
constexpr double kRich = 0.97, kLean = 1.03;
constexpr std::size_t kFewestSamples = 20;

std::vector<double> values_in(const Series& series, const Stretches& stretches) {
    std::vector<double> values;
    for (const auto& [from, to] : stretches)
        for (const double value : slice(series, from, to).values)
            if (std::isfinite(value)) values.push_back(value);
    return values;
}

/// The value that idle and part load keep to under closed-loop control; nothing where they keep to none.
std::optional<double> plateau(const Channel& channel, const NamingScene& scene) {
    const Series series = scene.log->series(channel);
    std::vector<double> values = values_in(series, scene.moments.idle);
    const std::vector<double> part = values_in(series, scene.moments.part);
    values.insert(values.end(), part.begin(), part.end());
    if (values.size() < kFewestSamples) return std::nullopt;
    std::ranges::sort(values);
    std::size_t best = 0, begin = 0;
    for (std::size_t first = 0, end = 0; first < values.size(); ++first) {
        while (end < values.size() && values[end] <= values[first] * (1.0 + 2.0 * kPlateauBand)) ++end;
        if (end - first > best) best = end - first, begin = first;
    }
    if (static_cast<double>(best) < kPlateauShare * static_cast<double>(values.size())) return std::nullopt;
    return values[begin + best / 2];
}

Readings taken(Claim claim, std::string note, double stoichiometric = 0.0) {
    claim.air_fuel_stoichiometric = stoichiometric;
    if (!settle_unit(claim, "")) return {{}, "its unit is not one of a mixture"};
    return {{{.claim = std::move(claim), .typical = true, .note = std::move(note)}}, ""};
}

Readings as_air_fuel_ratio(const Channel& channel, const NamingScene& scene, Claim claim) {
    claim.unit = kAirFuelRatio;
    const auto held = plateau(channel, scene);
    const auto fuel = scene.hints->air_fuel_stoichiometric;
    if (fuel && held && std::abs(*held / *fuel - 1.0) > kPlateauAgrees)
        return {
            {},
            fmt::format("it holds {:.2f} in closed loop, where lambda is 1, but the job's fuel has {:.2f}: the channel "
                        "sheet must say the ratio the logger used (air_fuel_stoichiometric)",
                        *held, *fuel)};
    if (fuel)
        return taken(
            std::move(claim),
            fmt::format("channel {} is an air-fuel ratio: divided by {:.2f} of the job's fuel", channel.name, *fuel),
            *fuel);
    if (!held || *held < kStoichiometricFrom || *held > kStoichiometricTo)
        return {{}, "it is an air-fuel ratio, and of which fuel is not known"};
    return taken(std::move(claim),
                 fmt::format("channel {} is an air-fuel ratio: divided by {:.2f}, which it holds in closed loop",
                             channel.name, *held),
                 std::round(*held * 100.0) / 100.0);
}

Readings as_equivalence(const Channel& channel, const NamingScene& scene, Claim claim) {
    const SampleSummary full = summary_in(scene.log->series(channel), scene.moments.full);
    const std::string unclear = "an equivalence ratio is lambda to some and 1 / lambda to others";
    if (full.samples < kFewestSamples) return {{}, unclear + ", and no full load shows which"};
    claim.unit = full.middle > kLean ? std::string(kEquivalence) : "1";
    if (full.middle > kRich && full.middle < kLean) return {{}, unclear + ", and full load is not rich enough to tell"};
    return taken(std::move(claim), fmt::format("channel {} is {}: it is {:.2f} at full load", channel.name,
                                               full.middle > kLean ? "1 / lambda" : "lambda", full.middle));
}

}  // namespace

Readings mixture_readings(const Channel& channel, const WordMatch& match, const NamingScene& scene, Claim claim,
                          const LoggedUnit& unit) {
    const SampleSummary all = summary_of(channel.values);
    const bool in_lambda = all.middle >= kLambdaFrom && all.middle <= kLambdaTo;
    const bool in_air_fuel = all.middle >= kAirFuelFrom && all.middle <= kAirFuelTo;
    if (unit.air_fuel_ratio || match.air_fuel_ratio) {
        if (in_air_fuel) return as_air_fuel_ratio(channel, scene, std::move(claim));
        if (unit.air_fuel_ratio || !in_lambda)
            return {{}, fmt::format("its middle value of {:.3g} is no air-fuel ratio", all.middle)};
    }
    if (match.equivalence) return as_equivalence(channel, scene, std::move(claim));
    if (!unit.unit.empty()) {
        claim.unit = unit.unit;
        return taken(std::move(claim), "");
    }
    if (in_air_fuel) return as_air_fuel_ratio(channel, scene, std::move(claim));
    if (!in_lambda)
        return {{}, fmt::format("its middle value of {:.3g} is neither lambda nor air-fuel ratio", all.middle)};
    claim.unit = "1";
    return taken(std::move(claim), "");
}

}  // namespace revwright
