#include "review/one_cause.h"

#include <algorithm>
#include <cmath>

namespace revwright {
namespace {

const Finding* beside(const std::vector<Finding>& findings, const Finding& of, std::string_view check) {
    const auto found = std::ranges::find_if(findings, [&](const Finding& other) {
        return other.check == check && other.pull == of.pull && other.severity != Severity::clear;
    });
    return found == findings.end() ? nullptr : &*found;
}

bool explained(const std::vector<Finding>& findings, const Finding& finding) {
    if (finding.severity == Severity::clear || !finding.pull) return false;
    if (finding.check == "lambda-follow") {
        const Finding* lean = beside(findings, finding, "lambda-lean");
        return lean && finding.value > 0.0 && std::ranges::count(lean->levers, "lambda_target") > 0;
    }
    if (finding.check == "boost-overshoot") {
        const Finding* steady = beside(findings, finding, "boost-steady");
        return steady && steady->value > 0.0 && steady->severity >= finding.severity;
    }
    // The throttle that closed because the request fell says so itself.
    if (finding.check == "torque-intervention") {
        const Finding* throttle = beside(findings, finding, "throttle-closing");
        return throttle &&
               std::abs(throttle->time_s - finding.time_s) <= 0.5 * (throttle->duration_s + finding.duration_s) + 0.5;
    }
    return false;
}

}  // namespace

void keep_one_per_cause(std::vector<Finding>& findings) {
    std::vector<bool> drop(findings.size());
    for (std::size_t i = 0; i < findings.size(); ++i) drop[i] = explained(findings, findings[i]);
    for (Finding& finding : findings)
        if (finding.check == "lambda-lean" && finding.severity != Severity::clear && finding.pull &&
            beside(findings, finding, "fuel-pressure")) {
            finding.levers = {"boost_target", "hardware"};
            finding.text += "; fuel pressure dropped in this pull, cure that first";
        }
    std::size_t at = 0;
    std::erase_if(findings, [&](const Finding&) { return drop[at++]; });
}

}  // namespace revwright
