#include "propose/meter.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "evidence/operating_points.h"
#include "model/coding.h"
#include "propose/situation.h"
#include "review/lambda_lag.h"

namespace revwright {
namespace {

constexpr double kAreaTolerance = 0.03;   // meter, probe and injectors together; our choice, no source
constexpr double kLeastEventsOfPull = 5;  // for a pull to count in a cell, as for the other tables

/// The leanest probe of a log rules.
double lean_ratio(const DrivenLog& driven, const LambdaLag& lag, const Pull& pull) {
    double leanest = 0.0;
    for (const int bank : {0, 1, 2}) {
        const Channel* probe = driven.log->find(ChannelKey{Signal::lambda, bank});
        if (!probe) continue;
        const LambdaPair pair = lambda_within(*driven.log, lag, *probe, pull.start_s, pull.end_s);
        double sum = 0.0;
        std::size_t count = 0;
        for (std::size_t i = 0; i < pair.expected.size(); ++i) {
            if (!std::isfinite(pair.expected[i]) || pair.expected[i] <= 0.0) continue;
            sum += pair.measured.values[i] / pair.expected[i];
            ++count;
        }
        if (count > 0) leanest = std::max(leanest, sum / static_cast<double>(count));
    }
    return leanest;
}

std::vector<Pull> pulls_of(const ProposeInput& input, std::size_t log) {
    std::vector<Pull> pulls;
    for (const Pull& pull : input.review.pulls)
        if (pull.log == log) pulls.push_back(pull);
    return pulls;
}

struct Measured {
    double ratio = 0.0;  // lambda / expected lambda, mean over the parent's pulls
    std::size_t pulls = 0;
};

Measured measured_ratio(const ProposeInput& input) {
    Measured measured;
    for (std::size_t log = 0; log < input.logs.size(); ++log) {
        if (!input.log_is_parent[log]) continue;
        const std::vector<Pull> pulls = pulls_of(input, log);
        const LambdaLag lag = identify_lambda_lag(*input.logs[log].log, pulls, input.job.engine);
        for (const Pull& pull : pulls) {
            const double ratio = lean_ratio(input.logs[log], lag, pull);
            if (ratio <= 0.0) continue;
            measured.ratio += ratio;
            ++measured.pulls;
        }
    }
    if (measured.pulls > 0) measured.ratio /= static_cast<double>(measured.pulls);
    return measured;
}

const Hardware* unscaled_housing(const JobSheet& job) {
    const auto found = std::ranges::find_if(job.hardware, [](const Hardware& part) {
        return part.kind == HardwareKind::air_meter && part.rescaled == false && part.bore_mm;
    });
    return found == job.hardware.end() ? nullptr : &*found;
}

/// The curve the control unit always reads; tables read under a condition are left alone.
const Table* meter_curve(const ProposeInput& input) {
    const auto tied = input.job.image->roles.find(Role::air_meter);
    if (tied == input.job.image->roles.end() || tied->second.size() != 1 || !tied->second.front().when.empty())
        return nullptr;
    const Table* table = input.parent.find(tied->second.front().table);
    const bool usable = table && table->description.writable && table->axes.size() == 1 &&
                        table->description.quantity.signal == Signal::air_mass_flow_g_s;
    return usable ? table : nullptr;
}

/// How much of the housing's ratio the parent already carries.
double carried(const Table& parent, const TableSet& standard) {
    const Table* before = standard.find(parent.name());
    if (!before || before->values.size() != parent.values.size()) return 1.0;
    double now = 0.0, then = 0.0;
    for (std::size_t i = 0; i < parent.values.size(); ++i) {
        now += parent.values[i];
        then += before->values[i];
    }
    return then > 0.0 ? now / then : 1.0;
}

/// Combustion events of the parent's pulls over the cells of the curve.
std::vector<WarrantEvidence> seen_by(const ProposeInput& input, const Table& curve) {
    std::vector<WarrantEvidence> seen(curve.values.size());
    for (const Pull& pull : input.review.pulls) {
        if (pull.log >= input.logs.size() || !input.log_is_parent[pull.log]) continue;
        const Log& log = *input.logs[pull.log].log;
        const auto reader = TableReader::make(log, input.job.engine, curve);
        const Channel* speed = log.find(Signal::engine_speed_rpm);
        if (!reader || !speed) continue;
        std::vector<double> events(curve.values.size(), 0.0);
        const Series part = slice(log.series(*speed), pull.start_s, pull.end_s);
        for (std::size_t i = 1; i < part.size(); ++i) {
            const double fired =
                part.values[i] * (part.times[i] - part.times[i - 1]) * input.job.engine.cylinders / 120.0;
            if (!std::isfinite(fired)) continue;
            for (const CellWeight& cell : reader->cells_at(part.times[i])) events[cell.flat] += fired * cell.weight;
        }
        for (std::size_t flat = 0; flat < events.size(); ++flat) {
            seen[flat].events += events[flat];
            if (events[flat] >= kLeastEventsOfPull) seen[flat].pulls += 1.0;
        }
    }
    return seen;
}

/// The least value the image can hold that does not fall below `wanted`: more metered air is more fuel, the rich side.
/// `now` where the curve can not go so far.
double rounded_up(const Table& curve, double now, double wanted) {
    const auto raw = raw_toward(curve.description, wanted, Direction::up);
    return raw ? std::max(now, physical(curve.description.coding, *raw)) : now;
}

ProposedTable raised(const ProposeInput& input, const Table& curve, double factor, const std::string& text) {
    ProposedTable out{.role = Role::air_meter,
                      .table = curve.name(),
                      .unit = std::string(info(curve.description.quantity.signal).unit),
                      .axes = curve.axes,
                      .cells = {}};
    const std::vector<WarrantEvidence> seen = seen_by(input, curve);
    for (std::size_t flat = 0; flat < curve.values.size(); ++flat) {
        const double now = curve.values[flat];
        out.cells.push_back({.at = curve.at(flat),
                             .from = now,
                             .to = rounded_up(curve, now, now * factor),
                             .bound = Bound::finding,
                             .evidence = seen[flat],
                             .text = text});
    }
    return out;
}

MeterCorrection stays(const std::string& why) { return {.table = {}, .refused = ProposalRefusal{"air_meter", why}}; }

}  // namespace

bool blames_meter(const Finding& finding) {
    return (finding.check == "lambda-follow" || finding.check == "lambda-lean") && finding.value > 0.0 &&
           std::ranges::count(finding.levers, to_string(Role::air_meter)) > 0;
}

MeterCorrection meter_correction(const ProposeInput& input) {
    const auto blaming = std::ranges::find_if(input.review.findings, [&](const Finding& finding) {
        return finding.severity >= Severity::mend && of_parent(input, finding) && blames_meter(finding);
    });
    if (blaming == input.review.findings.end()) return {};
    const Table* curve = meter_curve(input);
    if (!curve)
        return stays(fmt::format("{}: no meter curve of this job can be written; {}", blaming->check, blaming->text));
    const Hardware* housing = unscaled_housing(input.job);
    if (!housing)
        return stays(
            fmt::format("{}: the job sheet lists no changed meter housing that was left unscaled, so meter, "
                        "injectors or fuel pressure may be at fault: measure before the curve is moved; {}",
                        blaming->check, blaming->text));
    const Measured measured = measured_ratio(input);
    const double area = std::pow(housing->bore_mm->after / housing->bore_mm->before, 2);
    const double left = area / carried(*curve, input.standard);
    if (measured.pulls == 0 || measured.ratio <= 1.0)
        return stays(fmt::format("{}: the mean over the pulls is not lean of its target", blaming->check));
    if (measured.ratio > left * (1.0 + kAreaTolerance))
        return stays(
            fmt::format("{}: lambda is {:.1f} % lean of its target, and the wider housing explains {:.1f} %: "
                        "something else is wrong too",
                        blaming->check, 100.0 * (measured.ratio - 1.0), 100.0 * (left - 1.0)));
    const std::string text = fmt::format(
        "{} at {:.0f} rpm: lambda {:.1f} % lean of its target over {} pulls; the housing went from {:g} to {:g} mm "
        "without "
        "a new curve, {:.1f} % of it still missing, so the whole curve is raised by what was measured",
        blaming->check, blaming->engine_speed_rpm, 100.0 * (measured.ratio - 1.0), measured.pulls,
        housing->bore_mm->before, housing->bore_mm->after, 100.0 * (left - 1.0));
    return {.table = raised(input, *curve, measured.ratio, text), .refused = {}};
}

}  // namespace revwright
