#include "app/gates.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright::app {
namespace {

Gate enough_pulls(const JobSheet& job, const Review& review) {
    const auto found = static_cast<double>(review.pulls.size());
    return {"pulls", found >= job.policy.pulls_needed,
            fmt::format("{} pulls on this revision, {:g} needed", review.pulls.size(), job.policy.pulls_needed)};
}

Gate nothing_open(const Review& review) {
    const auto open = std::ranges::find_if(review.findings,
                                           [](const Finding& finding) { return finding.severity >= Severity::mend; });
    if (open == review.findings.end()) return {"findings", true, "no stop and nothing to mend"};
    return {"findings", false, fmt::format("{} is open: {}", to_string(open->severity), open->text)};
}

Gate required_checks(const Review& review) {
    const auto open = std::ranges::find(review.not_checked, Standing::required, &NotChecked::standing);
    if (open == review.not_checked.end()) return {"required checks", true, "every required check ran"};
    return {"required checks", false, fmt::format("{} could not run", open->check)};
}

Gate images_known(std::span<const DrivenLog> driven) {
    const bool known = std::ranges::all_of(driven, [](const DrivenLog& log) { return log.tables != nullptr; });
    return {"image", known,
            known ? "every run is tied to its image" : "a log is not tied to the image it was driven with"};
}

Gate fuel_stated(std::span<const DrivenLog> driven) {
    const bool stated = std::ranges::all_of(
        driven, [](const DrivenLog& log) { return log.run && (log.run->ron || !log.run->fuel_batch.empty()); });
    return {"fuel", stated, stated ? "the fuel of every run is stated" : "a run states neither fuel batch nor RON"};
}

}  // namespace

std::vector<Gate> gates(const JobSheet& job, const Review& review, std::span<const DrivenLog> driven) {
    return {enough_pulls(job, review), nothing_open(review), required_checks(review), images_known(driven),
            fuel_stated(driven)};
}

bool all_hold(std::span<const Gate> gates) { return std::ranges::all_of(gates, &Gate::holds); }

}  // namespace revwright::app
