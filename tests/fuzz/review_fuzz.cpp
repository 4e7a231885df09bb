// Any bytes may be refused; a log that was read and named is reviewed without a crash, always in the same words, and
// what is said of it stays small and in order.
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "formats/csv/reader.h"
#include "naming/naming.h"
#include "review/review.h"
#include "wire/review_json.h"

namespace {

using namespace revwright;

void must(bool holds) {
    if (!holds) __builtin_trap();
}

/// A car that all checks apply to: an invented turbocharged four-cylinder with capacities stated.
JobSheet job_of(bool turbocharged) {
    JobSheet job;
    job.car.mass_kg = 1400.0;
    job.car.gear_ratios = {3.5, 2.0, 1.4, 1.0, 0.8};
    job.car.final_drive = 4.0;
    job.car.rolling_circumference_m = 1.95;
    job.car.tyre = {225, 45, 18.0, 95, "Y"};
    job.car.gearbox_torque_nm = {350.0};
    job.car.clutch_torque_nm = 400.0;
    job.engine.displacement_cm3 = 1984.0;
    job.engine.cylinders = 4;
    job.engine.compression_ratio = 9.8;
    job.engine.aspiration = turbocharged ? Aspiration::turbocharged : Aspiration::naturally_aspirated;
    job.engine.injection = turbocharged ? Injection::direct : Injection::port;
    job.engine.max_speed_rpm = 6500.0;
    job.fuel.ron = 98.0;
    job.limits = Limits(turbocharged);
    job.limits.override_with("shift_time_s", {0.5, "fuzz"});
    return job;
}

void check(const Review& review, const Log& log) {
    std::size_t samples = 1;
    for (const TimeBase& base : log.time_bases) samples += base.seconds.size();
    must(review.pulls.size() <= samples);
    must(review.excluded.size() <= samples);
    const Log::Span span = log.span();
    for (std::size_t i = 0; i < review.pulls.size(); ++i) {
        const Pull& pull = review.pulls[i];
        must(pull.index == i);
        must(span.start_s <= pull.start_s && pull.start_s <= pull.end_s && pull.end_s <= span.end_s);
        must(i == 0 || review.pulls[i - 1].end_s <= pull.start_s);
    }
    for (const Finding& finding : review.findings) {
        must(!finding.check.empty() && !finding.text.empty());
        must(!finding.pull || *finding.pull < review.pulls.size());
        must(finding.severity == Severity::clear || !std::isnan(finding.value));
    }
    for (const NotChecked& entry : review.not_checked) must(!entry.check.empty() && !entry.text.empty());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const JobSheet jobs[] = {job_of(true), job_of(false)};
    const auto read = csv::read({reinterpret_cast<const char*>(data), size}, "fuzz.csv");
    if (!read) return 0;
    const auto log = name_channels(*read, nullptr);
    if (!log) return 0;
    for (const JobSheet& job : jobs) {
        const DrivenLog driven{.log = &*log};
        const Review found = review(job, std::span(&driven, 1));
        check(found, *log);
        const std::string said = wire::review_json(found, true);
        must(!said.empty());
        must(said == wire::review_json(review(job, std::span(&driven, 1)), true));
        const DrivenLog twice[] = {driven, driven};
        must(review(job, twice).pulls.size() == 2 * found.pulls.size());
    }
    return 0;
}
