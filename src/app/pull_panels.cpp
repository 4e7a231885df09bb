#include "app/pull_panels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <limits>

#include "review/window.h"

namespace revwright::app {
namespace {

constexpr double kReachSeconds = 1.0;
constexpr double kGapSeconds = 0.5;  // a longer hole than this, and than five intervals, breaks a line
constexpr double kGapIntervals = 5.0;
constexpr double kLambdaShownPastStop = 0.03;  // the rest is overrun and build-up
constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();

/// Samples over engine speed; a hole in the recording breaks the line.
PictureLine over_speed(const PullView& view, const Samples& samples, std::string name, PictureInk ink) {
    PictureLine line{.name = std::move(name), .ink = ink};
    const Channel* speed = view.run->log().find(Signal::engine_speed_rpm);
    if (!speed) return line;
    const Series around =
        slice(view.run->log().series(*speed), view.pull.start_s - kReachSeconds, view.pull.end_s + kReachSeconds);
    const std::vector<double> rpm = values_along(around, samples.times, kReachSeconds);
    const double gap = std::max(kGapSeconds, kGapIntervals * typical_interval(samples.times));
    for (std::size_t i = 0; i < rpm.size(); ++i) {
        if (i > 0 && samples.times[i] - samples.times[i - 1] > gap) {
            line.speed_rpm.push_back(kNothing);
            line.values.push_back(kNothing);
        }
        line.speed_rpm.push_back(rpm[i]);
        line.values.push_back(samples.values[i]);
    }
    return line;
}

/// What a panel shows, apart from its lines. One row, one panel.
struct PanelKind {
    std::string_view name, unit;
    Signal main;
    std::string_view limit = {};  // of the job; empty: none is drawn across
    bool bad_above = true;
    std::array<std::string_view, 4> checks = {};
    void (*add)(FilledPanel&) = nullptr;  // further lines and bands
    std::optional<double> lowest = {};
};

PullView view_of(const DrawnPull& pull) { return {pull.run, pull.pull}; }

double highest_of(const Samples& samples) {
    return samples.values.empty() ? -1.0 : *std::ranges::max_element(samples.values);
}

/// Retard of every cylinder, the worst of this pull first.
std::vector<const Channel*> cylinders_worst_first(const PullView& view) {
    std::vector<const Channel*> cylinders = view.run->all(Signal::knock_retard_deg);
    std::ranges::stable_sort(cylinders, std::greater{},
                             [&](const Channel* channel) { return highest_of(view.samples(*channel)); });
    return cylinders;
}

void add_channel(FilledPanel& filled, Signal signal, std::string name, PictureInk ink) {
    const Channel* channel = filled.view.run->find(signal);
    if (!channel) return;
    PictureLine line = over_speed(filled.view, filled.view.samples(*channel), std::move(name), ink);
    if (!line.values.empty()) filled.panel.lines.push_back(std::move(line));
}

/// Target, and the band around it in which nothing is to mend: from `low` to `high` of the target, plus `half_width`.
void add_target(FilledPanel& filled, Signal target, std::string band, double low, double high, double half_width) {
    const std::size_t before = filled.panel.lines.size();
    add_channel(filled, target, "target", PictureInk::commanded);
    if (filled.panel.lines.size() == before) return;
    const PictureLine& line = filled.panel.lines.back();
    PictureBand allowed{.name = std::move(band), .speed_rpm = line.speed_rpm};
    for (const double value : line.values) {
        allowed.low.push_back(low * value - half_width);
        allowed.high.push_back(high * value + half_width);
    }
    filled.panel.bands.push_back(std::move(allowed));
}

void add_boost(FilledPanel& filled) {
    const double width = filled.view.job().limits.at("boost_steady_kpa").mend.value_or(0.0);
    add_target(filled, Signal::boost_target_kpa, fmt::format("±{:g} kPa", width), 1.0, 1.0, width);
}

void add_rail(FilledPanel& filled) {
    const double drop = filled.view.job().limits.at("fuel_pressure_drop_pct").mend.value_or(0.0);
    add_target(filled, Signal::rail_pressure_target_mpa, fmt::format("±{:g} %", drop), 1.0 - drop / 100.0,
               1.0 + drop / 100.0, 0.0);
}

/// Every bank, while the probe shows what could be judged (in overrun it reads far beyond), and what a perfect mixture
/// would have made the first probe show.
void add_lambda(FilledPanel& filled) {
    const auto banks = filled.view.run->all(Signal::lambda);
    filled.panel.highest = filled.view.job().limits.at("lambda_max").stop.value_or(1.0) + kLambdaShownPastStop;
    for (std::size_t i = 1; i < banks.size(); ++i)
        filled.panel.lines.push_back(
            over_speed(filled.view, filled.view.samples(*banks[i]), to_string(*banks[i]->key), PictureInk::beside));
    const Pull& pull = filled.view.pull;
    const LambdaPair pair =
        lambda_within(filled.view.run->log(), filled.view.run->lag, *banks.front(), pull.start_s, pull.end_s);
    if (pair.expected.empty()) return;
    filled.panel.lines.push_back(
        over_speed(filled.view, {pair.measured.times, pair.expected}, "expected", PictureInk::commanded));
}

void add_base_spark(FilledPanel& filled) {
    filled.panel.lines.front().name = "delivered";
    add_channel(filled, Signal::spark_base_deg, "base", PictureInk::commanded);
}

/// One line for each cylinder, the worst of this pull first and thick.
void add_cylinders(FilledPanel& filled) {
    filled.panel.lines.clear();
    for (const Channel* channel : cylinders_worst_first(filled.view)) {
        const Samples samples = filled.view.samples(*channel);
        const bool worst = filled.panel.lines.empty();
        std::string name = channel->key->part > 0 ? fmt::format("cylinder {}", channel->key->part) : "all";
        if (!worst && highest_of(samples) <= 0.0) name.clear();  // nothing to see of it, and no room for its name
        filled.panel.lines.push_back(
            over_speed(filled.view, samples, std::move(name), worst ? PictureInk::measured : PictureInk::minor));
    }
}

void add_pedal(FilledPanel& filled) { add_channel(filled, Signal::pedal_pct, "pedal", PictureInk::beside); }

std::span<const PanelKind> panel_kinds() {
    using enum Signal;
    static const std::array kKinds{
        PanelKind{.name = "Boost",
                  .unit = "kPa absolute",
                  .main = boost_pressure_kpa,
                  .checks = {"boost-steady", "boost-overshoot", "boost-oscillation", "wastegate-saturated"},
                  .add = add_boost},
        PanelKind{.name = "Lambda",
                  .unit = "judged once charge has built up",
                  .main = lambda,
                  .limit = "lambda_max",
                  .checks = {"lambda-lean", "lambda-follow"},
                  .add = add_lambda,
                  .lowest = 0.6},
        PanelKind{.name = "Spark", .unit = "degrees before top dead centre", .main = spark_deg, .add = add_base_spark},
        PanelKind{.name = "Knock retard",
                  .unit = "degrees",
                  .main = knock_retard_deg,
                  .limit = "knock",
                  .checks = {"knock-event", "knock-repeated", "knock-cylinder"},
                  .add = add_cylinders},
        PanelKind{.name = "Throttle",
                  .unit = "% open",
                  .main = throttle_pct,
                  .limit = "throttle_open_pct",
                  .bad_above = false,
                  .checks = {"throttle-closing"},
                  .add = add_pedal},
        PanelKind{.name = "Intake air temperature",
                  .unit = "°C",
                  .main = intake_temp_c,
                  .limit = "intake_temp_c",
                  .checks = {"intake-temperature", "intake-rise"}},
        PanelKind{.name = "Exhaust temperature",
                  .unit = "°C",
                  .main = exhaust_temp_c,
                  .limit = "exhaust_temp_c",
                  .checks = {"exhaust-temperature"}},
        PanelKind{.name = "Coolant temperature",
                  .unit = "°C",
                  .main = coolant_temp_c,
                  .limit = "coolant_temp_c",
                  .checks = {"coolant-window"}},
        PanelKind{.name = "Rail pressure",
                  .unit = "MPa",
                  .main = rail_pressure_mpa,
                  .checks = {"fuel-pressure"},
                  .add = add_rail},
        PanelKind{
            .name = "Fuel supply pressure", .unit = "kPa", .main = fuel_pressure_low_kpa, .checks = {"fuel-pressure"}},
    };
    return kKinds;
}

void add_limits(PicturePanel& panel, const PanelKind& kind, const Limits& limits) {
    if (kind.limit.empty()) return;
    const Limit& limit = limits.at(kind.limit);
    const int decimals = limit.unit == "1" ? 2 : limit.mend && *limit.mend == std::round(*limit.mend) ? 0 : 1;
    const auto add = [&](Severity severity, const std::optional<double>& value) {
        if (value)
            panel.limits.push_back(
                {fmt::format("{} {:.{}f}", to_string(severity), *value, decimals), severity, *value, kind.bad_above});
    };
    add(Severity::watch, limit.watch);
    add(Severity::mend, limit.mend);
    add(Severity::stop, limit.stop);
}

}  // namespace

Samples main_samples(const PullView& view, Signal signal) {
    if (signal == Signal::boost_pressure_kpa) return view.boost();
    const auto channels = signal == Signal::knock_retard_deg ? cylinders_worst_first(view) : view.run->all(signal);
    return channels.empty() ? Samples{} : view.samples(*channels.front());
}

std::vector<FilledPanel> panels_of(const DrawnPull& pull, const std::vector<DrawnPull>& others,
                                   std::vector<std::string>& not_drawn) {
    std::vector<FilledPanel> panels;
    const bool boosted = pull.run->job->engine.turbocharged();
    for (const PanelKind& kind : panel_kinds()) {
        if (kind.main == Signal::boost_pressure_kpa && !boosted) continue;
        const PullView view = view_of(pull);
        const Samples samples = main_samples(view, kind.main);
        if (samples.values.size() < 2) {
            if (kind.main != Signal::fuel_pressure_low_kpa) not_drawn.emplace_back(kind.name);
            continue;
        }
        FilledPanel filled{
            .panel = {.name = std::string(kind.name), .unit = std::string(kind.unit)}, .main = kind.main, .view = view};
        filled.panel.lowest = kind.lowest;
        filled.panel.lines.push_back(over_speed(view, samples, "measured", PictureInk::measured));
        for (const DrawnPull& other : others)
            filled.panel.others.push_back(
                over_speed(view_of(other), main_samples(view_of(other), kind.main), "", PictureInk::minor));
        add_limits(filled.panel, kind, view.job().limits);
        if (kind.add) kind.add(filled);
        if (filled.panel.lines.size() == 1) filled.panel.lines.front().name.clear();  // nothing to tell it from
        for (const std::string_view check : kind.checks)
            if (!check.empty()) filled.checks.push_back(check);
        panels.push_back(std::move(filled));
    }
    return panels;
}

}  // namespace revwright::app
