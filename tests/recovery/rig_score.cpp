#include "recovery/rig_score.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <stdexcept>

#include "formats/csv/reader.h"
#include "formats/csv/writer.h"
#include "formats/sheets/job.h"
#include "naming/naming.h"
#include "review/review.h"
#include "rig/drive.h"
#include "rig/example_car.h"

namespace revwright {
namespace {

constexpr double kNearRpm = 400.0;
constexpr double kNearSeconds = 0.5;

template <class T>
T must(Result<T> result) {
    if (!result) throw std::runtime_error(describe(result.error()));
    return std::move(*result);
}

/// The log as a calibrator would get it: written as CSV and read again.
Log through_csv(const Log& log) { return must(name_channels(must(csv::read(csv::write(log), log.file)), nullptr)); }

bool shows(const Finding& finding, const rig::TruthFault& fault) {
    if (finding.severity < fault.at_least || !std::ranges::count(fault.checks, finding.check)) return false;
    const bool has_place = fault.engine_speed_rpm && finding.engine_speed_rpm > 0.0;
    return !has_place || std::abs(finding.engine_speed_rpm - *fault.engine_speed_rpm) <= kNearRpm;
}

bool same_pull(const Pull& found, const rig::TruthPull& driven) {
    return std::abs(found.start_s - driven.start_s) <= kNearSeconds &&
           std::abs(found.end_s - driven.end_s) <= kNearSeconds && found.gear == driven.gear;
}

bool refuses(const Excluded& found, const rig::TruthExcluded& driven) {
    return found.reason == driven.reason && found.start_s < driven.end_s && found.end_s > driven.start_s;
}

struct Run {
    std::uint64_t seed;
    std::string fault;  // empty: clean
    rig::Truth truth;
    Review review;

    std::string name() const { return fmt::format("seed {}, {}", seed, fault.empty() ? "clean" : fault); }
};

void score_faults(const Run& run, RigScore& score) {
    for (const rig::TruthFault& fault : run.truth.faults) {
        ++score.faults_planted;
        if (std::ranges::any_of(run.review.findings, [&](const Finding& finding) { return shows(finding, fault); })) {
            ++score.faults_found;
            continue;
        }
        score.misses.push_back(
            fmt::format("{}: fault at {:.0f} rpm not found", run.name(), fault.engine_speed_rpm.value_or(0.0)));
    }
}

void score_pulls(const Run& run, RigScore& score) {
    score.pulls_reported += static_cast<int>(run.review.pulls.size());
    for (const rig::TruthPull& driven : run.truth.pulls) {
        ++score.pulls_driven;
        if (std::ranges::any_of(run.review.pulls, [&](const Pull& pull) { return same_pull(pull, driven); }))
            ++score.pulls_found;
        else
            score.misses.push_back(fmt::format("{}: pull from {:.2f} to {:.2f} s in gear {} not found", run.name(),
                                               driven.start_s, driven.end_s, driven.gear));
    }
    for (const rig::TruthExcluded& driven : run.truth.excluded) {
        ++score.stretches_planted;
        if (std::ranges::any_of(run.review.excluded, [&](const Excluded& found) { return refuses(found, driven); }))
            ++score.stretches_refused;
        else
            score.misses.push_back(fmt::format("{}: {} from {:.2f} to {:.2f} s not refused", run.name(),
                                               to_string(driven.reason), driven.start_s, driven.end_s));
    }
}

/// Knock happens by chance on a healthy car as well, and the truth lists it; a finding of it is no false alarm.
bool happened(const Run& run, const Finding& finding) {
    return finding.check.starts_with("knock-") && !run.truth.knocks.empty();
}

void score_accusations(const Run& run, RigScore& score) {
    if (!run.fault.empty()) return;
    ++score.clean_logs;
    bool accused = false;
    for (const Finding& finding : run.review.findings) {
        if (finding.severity < Severity::mend || happened(run, finding)) continue;
        accused = true;
        score.misses.push_back(fmt::format("{}: accused: {}", run.name(), finding.text));
    }
    score.clean_logs_accused += accused ? 1 : 0;
}

Run drive_and_review(const JobSheet& job, const TableSet& tables, std::uint64_t seed, std::string fault, int nth) {
    rig::RigSetup setup{.job = job, .tables = tables, .seed = seed};
    if (!fault.empty()) setup.faults = {{fault}};
    setup.plan.random_stretches = nth % 3;
    setup.logger = static_cast<rig::LoggerKind>(nth % 3);
    setup.hardware_fitted = false;
    rig::RigRun run = must(rig::drive(setup));
    const Log log = through_csv(run.log);
    const DrivenLog driven{.log = &log};
    return {seed, std::move(fault), std::move(run.truth), review(job, {&driven, 1})};
}

}  // namespace

RigScore score_rig(int logs, std::uint64_t first_seed) {
    const JobSheet job = must(sheets::read_job(rig::example_job_sheet(), "example.toml"));
    const TableSet tables = rig::standard_tables();
    const auto faults = rig::all_faults();
    RigScore score;
    std::size_t next_fault = 0;
    for (int nth = 0; nth < logs; ++nth) {
        const bool clean = nth % 5 == 4;
        const std::string fault = clean ? "" : std::string(faults[next_fault++ % faults.size()].name);
        const Run run = drive_and_review(job, tables, first_seed + static_cast<std::uint64_t>(nth), fault, nth);
        ++score.logs;
        score_faults(run, score);
        score_pulls(run, score);
        score_accusations(run, score);
    }
    return score;
}

}  // namespace revwright
