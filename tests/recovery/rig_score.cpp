#include "recovery/rig_score.h"

#include <array>

#include "formats/sheets/job.h"
#include "recovery/through_csv.h"
#include "review/review.h"
#include "rig/drive.h"
#include "rig/example_car.h"

namespace revwright {
namespace {

std::string fault_of(int nth) {
    if (nth % 5 == 4) return "";
    const auto faults = rig::all_faults();
    const auto before = static_cast<std::size_t>(nth - nth / 5);
    return std::string(faults[before % faults.size()].name);
}

PlantedTruth planted(const rig::TruthFault& fault) {
    PlantedTruth truth{fault.name, fault.checks, fault.at_least, fault.engine_speed_rpm};
    for (const std::string_view check : rig::fault_named(fault.name)->may_raise) truth.may_raise.emplace_back(check);
    return truth;
}

ScoreCase case_of(const rig::Truth& truth) {
    ScoreCase one{.generator = "rig", .logger = {}, .car = "example car"};
    if (!truth.faults.empty()) one.fault = planted(truth.faults.front());
    for (const rig::TruthPull& pull : truth.pulls) one.pulls.push_back({pull.start_s, pull.end_s, pull.gear});
    for (const rig::TruthExcluded& stretch : truth.excluded)
        one.stretches.push_back({stretch.start_s, stretch.end_s, stretch.reason});
    one.knocked_by_chance = !truth.knocks.empty();
    return one;
}

/// What the review says of the log with the run of the same car before the fault beside it, without what it says of
/// that.
Review beside_standard_run(const rig::RigSetup& faulty, const Log& log) {
    rig::RigSetup before{.job = faulty.job, .tables = faulty.tables, .seed = faulty.seed + 1'000'000};
    before.car_seed = faulty.seed;
    before.logger = faulty.logger;
    before.hardware_fitted = false;
    const Log standard = through_csv(must(rig::drive(before)).log);
    Review both = review(faulty.job, std::array{DrivenLog{.log = &standard, .standard = true}, DrivenLog{.log = &log}});
    const auto of_standard = [](const auto& entry) { return entry.log == std::size_t{0}; };
    std::erase_if(both.pulls, of_standard);
    std::erase_if(both.excluded, of_standard);
    std::erase_if(both.findings, of_standard);
    return both;
}

}  // namespace

ScoreCase rig_case(int nth, std::uint64_t seed) {
    constexpr std::array kLoggers{"20 Hz", "10 Hz", "25 Hz mixed"};  // in the order of LoggerKind
    const JobSheet job = must(sheets::read_job(rig::example_job_sheet(), "example.toml"));
    const TableSet tables = rig::standard_tables();
    rig::RigSetup setup{.job = job, .tables = tables, .seed = seed};
    if (const std::string fault = fault_of(nth); !fault.empty()) setup.faults = {{fault}};
    setup.plan.random_stretches = nth % 3;
    setup.logger = static_cast<rig::LoggerKind>(nth % 3);
    setup.hardware_fitted = false;
    const rig::RigRun run = must(rig::drive(setup));
    const Log log = through_csv(run.log);
    ScoreCase one = case_of(run.truth);
    one.logger = kLoggers[static_cast<std::size_t>(nth % 3)];
    one.seed = seed;
    const bool beside = !setup.faults.empty() && rig::fault_named(setup.faults.front().name)->beside_standard_run;
    one.review = beside ? beside_standard_run(setup, log) : review(job, std::array{DrivenLog{.log = &log}});
    return one;
}

Score score_rig(int logs, std::uint64_t first_seed) {
    Score score;
    for (int nth = 0; nth < logs; ++nth) add(score, rig_case(nth, first_seed + static_cast<std::uint64_t>(nth)));
    return score;
}

}  // namespace revwright
