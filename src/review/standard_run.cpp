#include "review/standard_run.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

#include "review/places.h"
#include "review/window.h"

namespace revwright {
namespace {

constexpr double kNearRpm = 250.0;  // by the plan of the review
/// From this share of the distance to the limit on, a value is another one. Our choice, common practice, no source.
constexpr double kSameShare = 0.25;

constexpr std::array<std::string_view, 7> kOfTheLog{"log-quality", "sensor-range", "coverage", "image-mismatch",
                                                    "battery",     "cold-start",   "misfire"};

bool compares(const Finding& finding) {
    return finding.log && finding.severity != Severity::clear &&
           std::ranges::find(kOfTheLog, finding.check) == kOfTheLog.end();
}

/// What a check's quantity was around an engine speed, where one channel tells.
enum class Reading { highest, lowest, middle };
struct Shown {
    std::string_view check;
    Signal signal;
    Reading reading;
};
constexpr std::array kShown{Shown{"lambda-lean", Signal::lambda, Reading::middle},
                            Shown{"knock-event", Signal::knock_retard_deg, Reading::highest},
                            Shown{"knock-repeated", Signal::knock_retard_deg, Reading::highest},
                            Shown{"throttle-closing", Signal::throttle_pct, Reading::lowest},
                            Shown{"intake-temperature", Signal::intake_temp_c, Reading::highest},
                            Shown{"coolant-window", Signal::coolant_temp_c, Reading::highest},
                            Shown{"oil-window", Signal::oil_temp_c, Reading::highest}};

std::optional<double> read(std::vector<double> values, Reading reading) {
    if (values.empty()) return std::nullopt;
    if (reading == Reading::middle) return median(std::move(values));
    return reading == Reading::highest ? std::ranges::max(values) : std::ranges::min(values);
}

/// The channels of a check within kNearRpm of an engine speed, in the pulls of one run.
std::optional<double> shown_near(const RunView& run, const Finding& finding) {
    const auto row = std::ranges::find(kShown, finding.check, &Shown::check);
    const Channel* speed = run.find(Signal::engine_speed_rpm);
    if (row == kShown.end() || !speed) return std::nullopt;
    std::optional<double> worst;
    for (const Channel* channel : run.all(row->signal)) {
        const int part = channel->key->part;
        if (finding.cylinder && part != 0 && part != *finding.cylinder) continue;
        std::vector<double> near;
        for (const Pull& pull : run.pulls) {
            const Samples samples = PullView{&run, pull}.samples(*channel);
            const std::vector<double> speeds = values_along(run.log().series(*speed), samples.times, 1.0);
            for (std::size_t i = 0; i < speeds.size(); ++i)
                if (std::abs(speeds[i] - finding.engine_speed_rpm) <= kNearRpm) near.push_back(samples.values[i]);
        }
        const auto value = read(std::move(near), row->reading);
        if (!value) continue;
        const bool low_is_worse = row->reading == Reading::lowest;
        if (!worst || (low_is_worse ? *value < *worst : *value > *worst)) worst = value;
    }
    return worst;
}

struct Reference {
    double value = 0.0;
    Severity severity = Severity::clear;
    bool found = false;  // by the same check, not read from its channel
};

/// What the standard runs say at the engine speed of a finding.
std::optional<Reference> reference_for(std::span<const RunView> runs, const std::vector<Finding>& findings,
                                       const Finding& finding) {
    std::optional<Reference> worst;
    double margin = 0.0;
    for (const Finding& other : findings) {
        if (other.check != finding.check || !other.log || other.modelled != finding.modelled) continue;
        const RunView& run = runs[*other.log];
        if (!run.driven.standard || !same_place(run, runs[*finding.log])) continue;
        if (std::abs(other.engine_speed_rpm - finding.engine_speed_rpm) > kNearRpm) continue;
        if (finding.cylinder && other.cylinder && *finding.cylinder != *other.cylinder) continue;
        if (worst && other.margin >= margin) continue;
        worst = Reference{other.value, other.severity, true};
        margin = other.margin;
    }
    if (worst) return worst;
    for (const RunView& run : runs) {
        if (!run.driven.standard || !same_place(run, runs[*finding.log])) continue;
        if (const auto value = shown_near(run, finding)) return Reference{*value, Severity::clear, false};
    }
    return std::nullopt;
}

/// Whether the standard runs were judged by this check at all, in the same kind of place.
bool judged(std::span<const RunView> runs, const std::vector<Finding>& findings, const Finding& finding) {
    return std::ranges::any_of(findings, [&](const Finding& other) {
        return other.check == finding.check && other.log && runs[*other.log].driven.standard &&
               same_place(runs[*other.log], runs[*finding.log]);
    });
}

bool clear_everywhere(std::span<const RunView> runs, const std::vector<Finding>& findings, const Finding& finding) {
    return std::ranges::none_of(findings, [&](const Finding& other) {
        return other.check == finding.check && other.log && runs[*other.log].driven.standard &&
               other.severity != Severity::clear;
    });
}

std::string shown(double value, const std::string& unit) {
    if (unit == "1") return fmt::format("{:.2f}", value);
    const int decimals = unit == "C" || unit == "rpm" || unit == "%" || unit == "K" ? 0 : 1;
    return fmt::format("{:.{}f} {}", value, decimals, unit == "deg" ? "degrees" : unit);
}

std::string change_since(const Reference& reference, const Finding& finding) {
    const std::string value = shown(reference.value, finding.unit);
    const bool sick = reference.severity >= Severity::mend;
    const bool same = reference.severity >= finding.severity ||
                      std::abs(reference.value - finding.value) <= kSameShare * std::abs(finding.margin);
    if (sick)
        return fmt::format("; the standard car's run had {} here, so the car was not healthy before the change", value);
    if (same) return fmt::format("; as in the standard run ({})", value);
    return fmt::format("; new since the standard run, which had {} here", value);
}

/// Before the full stop that ends a finding's sentence.
void append(std::string& text, const std::string& words) {
    const bool stop = !text.empty() && text.back() == '.';
    if (stop) text.pop_back();
    text += words;
    if (stop) text += '.';
}

}  // namespace

void compare_with_standard(std::span<const RunView> runs, std::vector<Finding>& findings) {
    const auto is_standard = [](const RunView& run) { return run.driven.standard; };
    if (std::ranges::none_of(runs, is_standard)) return;
    for (Finding& finding : findings) {
        if (!compares(finding)) continue;
        const RunView& run = runs[*finding.log];
        if (run.driven.standard) {
            if (finding.severity >= Severity::mend)
                append(finding.text, "; this is the standard car's run: the car was not healthy before the change");
            continue;
        }
        if (!run.driven.run) continue;  // nobody knows what was driven
        if (const auto reference = reference_for(runs, findings, finding)) {
            finding.standard_value = reference->value;
            append(finding.text, change_since(*reference, finding));
        } else if (judged(runs, findings, finding) && clear_everywhere(runs, findings, finding)) {
            append(finding.text, "; new since the standard run");
        }
    }
}

std::vector<std::string> health_notes(std::span<const RunView> runs, std::span<const Finding> findings) {
    std::vector<std::string> notes;
    for (const RunView& run : runs) {
        if (!run.driven.standard) continue;
        std::vector<std::string> checks;
        for (const Finding& finding : findings)
            if (finding.log == run.index && finding.severity >= Severity::mend && compares(finding) &&
                !std::ranges::count(checks, finding.check))
                checks.push_back(finding.check);
        if (!checks.empty())
            notes.push_back(
                fmt::format("The car was not healthy before the change: the standard car's run shows {}. "
                            "Mend that first; no revision can.",
                            fmt::join(checks, ", ")));
    }
    return notes;
}

}  // namespace revwright
