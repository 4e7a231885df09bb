#include "evidence/evidence.h"

#include <algorithm>
#include <cmath>

#include "evidence/boldness.h"
#include "evidence/cell_tally.h"
#include "evidence/gates.h"
#include "evidence/knock_events.h"
#include "review/lambda_lag.h"

namespace revwright {
namespace {

/// A knock leans on the cells that made at least this part of the reading; one of the four always does.
constexpr double kLeansOn = 0.25;
/// Retard from which a cylinder is not heard at the table's spark: the least knock event.
constexpr double kRetardedDeg = 1.0;
/// Base spark this far below the table is limited by something else, and silence proves nothing there. Our choice.
constexpr double kLimitedDeg = 1.5;

using Tallies = std::map<std::size_t, CellTally>;

/// All that one log contributes to one table.
struct LogView {
    const JobSheet& job;
    const Review& review;
    const DrivenLog& driven;
    std::size_t index;
    const RoleTableRef& ref;
    const TableReader& reader;
    const BoldnessMeter& boldness;
    const KnockHistory& knock;
    const std::vector<Stretch>& gated;
    const LambdaLag& lag;
    std::vector<const Pull*> pulls;
    Samples speed;
    bool raises;  // may its events raise a cell at all
};

double speed_at(const LogView& v, double t) {
    const double rpm = value_at(v.speed.series(), t);
    return std::isfinite(rpm) ? rpm : 0.0;
}

bool has_stop(const LogView& v, const Pull& pull) {
    return std::ranges::any_of(v.review.findings, [&](const Finding& f) {
        const bool here = f.pull ? *f.pull == pull.index : f.log == v.index && f.check == "image-mismatch";
        return here && f.severity == Severity::stop;
    });
}

/// Whether something else than knock held the spark below the table at t.
bool spark_limited(const LogView& v, double t) {
    if (v.ref.role != Role::spark || !v.driven.tables) return false;
    const Channel* base = v.driven.log->find(Signal::spark_base_deg);
    const Table* table = v.driven.tables->find(v.ref.table->name());
    const auto x = v.reader.point_at(t);
    if (!base || !table || !x || table->axes != v.ref.table->axes) return false;
    const double logged = value_at(v.driven.log->series(*base), t);
    return std::isfinite(logged) && logged < value_at(*table, *x) - kLimitedDeg;
}

/// Adds the events of one interval, and for each cylinder those heard at the table's spark.
void add_interval(const LogView& v, const Pull& pull, double events, double middle, Tallies& tallies) {
    const Boldness bold = v.boldness.at(middle);
    if (bold != Boldness::as_parent && bold != Boldness::bolder) return;
    if (bold == Boldness::bolder) {
        // A bolder run that stayed silent speaks for the parent; one that knocked is history (see add_knocks).
        const bool silent = std::ranges::none_of(
            v.knock.traces, [&](const RetardTrace& trace) { return retard_at(trace, middle) >= kRetardedDeg; });
        if (!silent) return;
    }
    if (spark_limited(v, middle)) return;
    for (const CellWeight& cell : v.reader.cells_at(middle)) {
        CellTally& tally = tallies[cell.flat];
        tally.events += cell.weight * events;
        tally.events_of_pull[pull.index] += cell.weight * events;
        for (const RetardTrace& trace : v.knock.traces) {
            if (retard_at(trace, middle) >= kRetardedDeg) continue;
            const double part = trace.cylinder == 0 ? 1.0 : 1.0 / v.job.engine.cylinders;
            tally.listened[trace.cylinder] += part * cell.weight * events;
        }
    }
}

/// Combustion events of a pull: the integral of speed x cylinders / 120, speed linear between its samples.
void add_events(const LogView& v, const Pull& pull, Tallies& tallies) {
    for (const Stretch& open : open_parts(pull.start_s, pull.end_s, v.gated)) {
        std::vector<double> times{open.start_s};
        for (const double t : v.speed.times)
            if (t > open.start_s && t < open.end_s) times.push_back(t);
        times.push_back(open.end_s);
        for (std::size_t i = 1; i < times.size(); ++i) {
            const double middle = 0.5 * (times[i - 1] + times[i]);
            const double rpm = value_at(v.speed.series(), middle);
            if (!std::isfinite(rpm)) continue;
            add_interval(v, pull, rpm * (times[i] - times[i - 1]) * v.job.engine.cylinders / 120.0, middle, tallies);
        }
    }
}

void add_knock(const LogView& v, const RecoveredKnock& event, Tallies& tallies) {
    const bool bolder = v.boldness.at(event.time_s) == Boldness::bolder;
    const Table* then = v.driven.tables ? v.driven.tables->find(v.ref.table->name()) : nullptr;
    for (const CellWeight& cell : v.reader.cells_at(event.time_s)) {
        CellTally& tally = tallies[cell.flat];
        const double whole = cell.weight >= kLeansOn ? event.count : 0.0;
        if (bolder) {
            tally.knocks_when_bolder[event.cylinder] += whole;
            const double value = then->values[cell.flat];
            if (whole > 0.0) tally.bolder_value = std::min(tally.bolder_value.value_or(value), value);
            continue;
        }
        tally.shared_knocks += cell.weight * event.count;
        tally.knocks[event.cylinder] += whole;
        if (v.ref.role == Role::spark && whole > 0.0)
            tally.note_worst(event.retard_deg, event.time_s, speed_at(v, event.time_s), v.index);
    }
}

void add_knocks(const LogView& v, const Pull& pull, Tallies& tallies) {
    const auto counts = [&](double t) { return t >= pull.start_s && t <= pull.end_s && !inside(v.gated, t); };
    for (const RecoveredKnock& event : v.knock.events)
        if (counts(event.time_s)) add_knock(v, event, tallies);
    for (const CensoredStretch& c : v.knock.censored)
        for (const double t : v.speed.times)
            if (t >= c.start_s && t <= c.end_s && counts(t) && v.boldness.at(t) != Boldness::bolder)
                for (const CellWeight& cell : v.reader.cells_at(t)) tallies[cell.flat].censored = true;
}

/// Lambda belongs to the cell that was read when the mixture was made: delay and lag before the probe showed it.
void add_lambda(const LogView& v, const Pull& pull, Tallies& tallies) {
    for (const Channel& channel : v.driven.log->channels) {
        if (!channel.key || channel.key->signal != Signal::lambda) continue;
        const std::vector<double> expected = expected_lambda(*v.driven.log, v.lag, channel, v.job.engine);
        const Series lambda = v.driven.log->series(channel);
        for (std::size_t i = 0; i < lambda.size(); ++i) {
            const double made = lambda.times[i] - v.lag.total_s(), value = lambda.values[i];
            if (!std::isfinite(value) || made < pull.start_s || lambda.times[i] > pull.fuelled_to_s()) continue;
            if (v.boldness.at(made) != Boldness::as_parent) continue;
            for (const CellWeight& cell : v.reader.cells_at(made)) {
                CellTally& tally = tallies[cell.flat];
                tally.lambda_max = std::max(tally.lambda_max.value_or(value), value);
                if (i < expected.size() && std::isfinite(expected[i]) && expected[i] > 0.0)
                    tally.lambda_ratio.add(value / expected[i], cell.weight);
                if (v.ref.role == Role::lambda_target)
                    tally.note_worst(value, lambda.times[i], speed_at(v, lambda.times[i]), v.index);
            }
        }
    }
}

void add_boost(const LogView& v, const Pull& pull, Tallies& tallies) {
    const auto boost = samples_of(*v.driven.log, v.job.engine, {Signal::boost_pressure_kpa, 0});
    const Channel* target = v.driven.log->find(Signal::boost_target_kpa);
    if (!boost || !target) return;
    for (std::size_t i = 0; i < boost->times.size(); ++i) {
        const double t = boost->times[i];
        const double error = boost->values[i] - value_at(v.driven.log->series(*target), t);
        if (t < pull.start_s || t > pull.end_s || !std::isfinite(error)) continue;
        if (v.boldness.at(t) != Boldness::as_parent) continue;
        for (const CellWeight& cell : v.reader.cells_at(t)) {
            tallies[cell.flat].boost_error.add(error, cell.weight);
            if (v.ref.role == Role::boost_target) tallies[cell.flat].note_worst(error, t, speed_at(v, t), v.index);
        }
    }
}

void add_intake(const LogView& v, const Pull& pull, Tallies& tallies) {
    const auto intake = samples_of(*v.driven.log, v.job.engine, {Signal::intake_temp_c, 0});
    if (!intake) return;
    for (std::size_t i = 0; i < intake->times.size(); ++i) {
        const double t = intake->times[i], value = intake->values[i];
        if (t < pull.start_s || t > pull.end_s || v.boldness.at(t) != Boldness::as_parent) continue;
        for (const CellWeight& cell : v.reader.cells_at(t)) {
            CellTally& tally = tallies[cell.flat];
            tally.intake_min = std::min(tally.intake_min.value_or(value), value);
            tally.intake_max = std::max(tally.intake_max.value_or(value), value);
        }
    }
}

void add_log(const LogView& v, Tallies& tallies) {
    for (const Pull* pull : v.pulls) {
        add_knocks(v, *pull, tallies);
        if (!v.raises || has_stop(v, *pull)) continue;
        add_events(v, *pull, tallies);
        add_lambda(v, *pull, tallies);
        add_boost(v, *pull, tallies);
        add_intake(v, *pull, tallies);
    }
}

/// What does not depend on the table, worked out once per log.
struct LogFacts {
    BoldnessMeter boldness;
    KnockHistory knock;
    std::vector<Stretch> gated;
    std::vector<const Pull*> pulls;
    LambdaLag lag;
    Samples speed;
};

std::vector<LogFacts> facts_of(const JobSheet& job, std::span<const DrivenLog> logs, const Review& review,
                               const TableSet& parent) {
    std::vector<LogFacts> all;
    for (std::size_t i = 0; i < logs.size(); ++i) {
        const Log& log = *logs[i].log;
        std::vector<Pull> pulls;
        std::vector<const Pull*> places;
        for (const Pull& pull : review.pulls)
            if (pull.log == i) pulls.push_back(pull), places.push_back(&pull);
        auto speed = samples_of(log, job.engine, {Signal::engine_speed_rpm, 0});
        all.push_back({BoldnessMeter(logs[i], job, parent), recover_knock_events(log),
                       gated_stretches(log, i, review, job.engine), std::move(places),
                       identify_lambda_lag(log, pulls, job.engine), speed ? std::move(*speed) : Samples{}});
    }
    return all;
}

}  // namespace

std::vector<TableEvidence> gather_evidence(const JobSheet& job, std::span<const DrivenLog> logs, const Review& review,
                                           const TableSet& parent) {
    const std::vector<LogFacts> facts = facts_of(job, logs, review, parent);
    std::vector<TableEvidence> all;
    for (const RoleTableRef& ref : role_tables(job, parent)) {
        Tallies tallies;
        for (std::size_t i = 0; i < logs.size(); ++i) {
            const auto reader = TableReader::make(*logs[i].log, job.engine, *ref.table);
            if (!reader) continue;
            const LogFacts& f = facts[i];
            const bool raises = logs[i].run != nullptr && logs[i].tables != nullptr && !ref.conditional;
            add_log(
                {job, review, logs[i], i, ref, *reader, f.boldness, f.knock, f.gated, f.lag, f.pulls, f.speed, raises},
                tallies);
        }
        TableEvidence table{ref.role, ref.table->name(), {}};
        for (const auto& [flat, tally] : tallies) table.cells.push_back(tally.evidence(flat));
        all.push_back(std::move(table));
    }
    return all;
}

}  // namespace revwright
