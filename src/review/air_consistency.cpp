#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/filling.h"
#include "review/meter_signature.h"
#include "review/window.h"

namespace revwright {
namespace {

// By the contract, where no standard run tells the volumetric efficiency.
constexpr double kUsualFilling = 0.90;
constexpr double kFillingBand = 0.08;
// Our choices, common practice, no source.
constexpr double kSettleSeconds = 1.0;  // of the pull: the intake sensor is soaked by the heat of the stand before
constexpr double kClosingSeconds = 0.15;
constexpr double kHoldSeconds = 0.5;
constexpr double kCalmSeconds = 0.25;      // to either side: the median over it stands for a sample
constexpr double kSensorLagSeconds = 1.0;  // an intake sensor may be as late: so much of the difference is its own

std::vector<Filling> full_load(const RunView& run, const Pull& pull) {
    std::vector<Filling> found = fillings(run, pull.start_s + kSettleSeconds, pull.end_s - kClosingSeconds);
    std::vector<Filling> calm = found;
    std::size_t first = 0, end = 0;
    std::vector<double> around;
    for (Filling& sample : calm) {
        while (first < found.size() && found[first].time_s < sample.time_s - kCalmSeconds) ++first;
        while (end < found.size() && found[end].time_s <= sample.time_s + kCalmSeconds) ++end;
        around.clear();
        for (std::size_t i = first; i < end; ++i) around.push_back(found[i].value);
        sample.value = median(around);
    }
    return calm;
}

/// Filling of the standard car at full load and at part load.
struct Reference {
    FillingCurve full;
    std::optional<double> part_load;
};

std::optional<Reference> reference_of(std::span<const RunView> runs) {
    std::vector<Filling> full;
    std::vector<double> part;
    for (const RunView& run : runs) {
        if (!run.driven.standard) continue;
        for (const Pull& pull : run.pulls)
            for (const Filling& sample : full_load(run, pull)) full.push_back(sample);
        if (const auto value = part_load_filling(run)) part.push_back(*value);
    }
    if (full.empty()) return std::nullopt;
    return Reference{FillingCurve(full), part.empty() ? std::nullopt : std::optional(median(part))};
}

/// Meter over speed-density less one, in percent: positive where the meter reads more.
double difference_pct(const Filling& sample, const Reference* reference) {
    const auto expected = reference ? reference->full.at(sample.speed_rpm) : std::nullopt;
    const double low = expected.value_or(kUsualFilling - kFillingBand);
    const double high = expected.value_or(kUsualFilling + kFillingBand);
    const double late = kSensorLagSeconds * std::abs(sample.kelvin_per_s) / 300.0;
    if (sample.value > high) return 100.0 * std::max(0.0, sample.value / high - 1.0 - late);
    return 100.0 * std::min(0.0, sample.value / low - 1.0 + late);
}

Samples differences(const std::vector<Filling>& samples, const Reference* reference, double sign) {
    Samples found;
    for (const Filling& sample : samples) {
        found.times.push_back(sample.time_s);
        found.values.push_back(sign * difference_pct(sample, reference));
    }
    return found;
}

MeterShares shares_of(const RunView& run, const std::vector<Filling>& samples, const Reference* reference) {
    MeterShares shares;
    shares.known = reference != nullptr;
    for (const Filling& sample : samples) {
        const auto expected = reference ? reference->full.at(sample.speed_rpm) : std::nullopt;
        shares.full.push_back(sample.value / expected.value_or(kUsualFilling));
    }
    const auto part = part_load_filling(run);
    if (part && reference && reference->part_load)
        shares.part = *part / *reference->part_load;
    else if (part && *part <= kUsualFilling + kFillingBand)
        shares.part = 1.0;  // no more than an engine takes in: not seen to disagree
    return shares;
}

std::optional<Finding> judge(const RunView& run, const Pull& pull, const Reference* reference, const Limit& limit) {
    const std::vector<Filling> samples = full_load(run, pull);
    std::optional<Held> worst;
    double sign = 1.0;
    for (const double way : {1.0, -1.0}) {
        const Samples one_way = differences(samples, reference, way);
        const auto held = highest_held(one_way.series(), kHoldSeconds);
        if (held && (!worst || held->level > worst->level)) worst = held, sign = way;
    }
    if (!worst) return std::nullopt;
    const Samples series = differences(samples, reference, sign);
    const Verdict judged = verdict(worst->level, limit, Side::above);
    Finding found = finding(series.times[worst->worst], sign * worst->level, judged);
    const std::string held_to = reference ? "the volumetric efficiency of the standard run"
                                          : fmt::format("a volumetric efficiency of {:.2f} to {:.2f}",
                                                        kUsualFilling - kFillingBand, kUsualFilling + kFillingBand);
    if (judged.severity == Severity::clear) {
        found.text = fmt::format("air meter and speed-density agree within {:.0f} % at {}", std::max(0.0, worst->level),
                                 held_to);
        return found;
    }
    found.time_s = series.times[middle_of_worst(series.series(), *worst, judged.limit)];
    found.duration_s = time_above(series.series(), worst->worst, judged.limit);
    const MeterSignature signature = signature_of(shares_of(run, samples, reference), run.job->hardware);
    found.levers = signature.levers;
    found.text = fmt::format(
        "the air meter reads {:.0f} % {} than speed-density at {} for {:.1f} s, {:.0f} % is the limit; {}",
        worst->level, sign > 0.0 ? "more" : "less", held_to, found.duration_s, judged.limit, signature.text);
    return found;
}

}  // namespace

std::vector<Finding> air_consistency(std::span<const RunView> runs, const Check&, const Limit& limit) {
    std::vector<Finding> findings;
    const std::optional<Reference> reference = reference_of(runs);
    for (const RunView& run : runs) {
        const bool held_to_it = reference && !run.driven.standard;
        for (const Pull& pull : run.pulls) {
            auto found = judge(run, pull, held_to_it ? &*reference : nullptr, limit);
            if (!found) continue;
            found->pull = pull.index;
            found->log = run.index;
            findings.push_back(std::move(*found));
        }
    }
    return findings;
}

}  // namespace revwright
