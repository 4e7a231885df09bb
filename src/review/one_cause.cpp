#include "review/one_cause.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

namespace revwright {
namespace {

const Finding* beside(const std::vector<Finding>& findings, const Finding& of, std::string_view check) {
    const auto found = std::ranges::find_if(findings, [&](const Finding& other) {
        return other.check == check && other.pull == of.pull && other.severity != Severity::clear;
    });
    return found == findings.end() ? nullptr : &*found;
}

/// Whether the first is at its worst while the second lasts.
bool within(const Finding& one, const Finding& other) {
    return std::abs(one.time_s - other.time_s) <= 0.5 * other.duration_s + 0.1;
}

/// Into the sentence, before its full stop.
void add_words(Finding& finding, std::string_view words) {
    if (finding.text.ends_with('.')) finding.text.pop_back();
    finding.text += words;
    finding.text += '.';
}

/// A shut wastegate can not be shut further.
void take_authority_away(Finding& low, const Finding& saturated) {
    if (!(low.value < 0.0) || std::abs(low.time_s - saturated.time_s) > 0.5 * (low.duration_s + saturated.duration_s))
        return;
    low.levers = saturated.levers;
    add_words(low, "; the wastegate is shut already, so its duty cures nothing");
}

bool explained(const std::vector<Finding>& findings, const Finding& finding) {
    if (finding.severity == Severity::clear || !finding.pull) return false;
    if (finding.check == "lambda-follow") {
        const Finding* lean = beside(findings, finding, "lambda-lean");
        return lean && finding.value > 0.0 && std::ranges::count(lean->levers, "lambda_target") > 0;
    }
    if (finding.check == "boost-overshoot") {
        const Finding* steady = beside(findings, finding, "boost-steady");
        if (steady && steady->value > 0.0 && steady->severity >= finding.severity) return true;
        const Finding* swing = beside(findings, finding, "boost-oscillation");
        return swing && swing->severity >= finding.severity && within(finding, *swing);
    }
    // A slow swing stays on one side for half a period: it is no steady error.
    if (finding.check == "boost-steady") {
        const Finding* swing = beside(findings, finding, "boost-oscillation");
        return swing && swing->severity >= finding.severity && finding.duration_s < 1.0 && within(finding, *swing);
    }
    if (finding.check == "intake-rise") return beside(findings, finding, "intake-temperature") != nullptr;
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
    std::set<std::string> said_elsewhere;
    for (std::size_t i = 0; i < findings.size(); ++i) {
        drop[i] = explained(findings, findings[i]);
        if (drop[i]) said_elsewhere.insert(findings[i].check);
    }
    // That another pull is clear would then read as if all were.
    for (std::size_t i = 0; i < findings.size(); ++i)
        if (findings[i].severity == Severity::clear && said_elsewhere.contains(findings[i].check)) drop[i] = true;
    for (Finding& finding : findings)
        if (finding.check == "lambda-lean" && finding.severity != Severity::clear && finding.pull &&
            beside(findings, finding, "fuel-pressure")) {
            finding.levers = {"boost_target", "hardware"};
            add_words(finding, "; fuel pressure dropped in this pull, cure that first");
        }
    for (Finding& finding : findings)
        if (finding.check == "boost-steady" && finding.severity != Severity::clear)
            if (const Finding* saturated = beside(findings, finding, "wastegate-saturated"))
                take_authority_away(finding, *saturated);
    std::size_t at = 0;
    std::erase_if(findings, [&](const Finding&) { return drop[at++]; });
}

}  // namespace revwright
