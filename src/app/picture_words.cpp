#include "app/picture_words.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <vector>

#include "draw/scale.h"

namespace revwright::app {
namespace {

int decimals_for(const Finding& finding) {
    const auto whole = [](double x) { return x == std::round(x); };
    if (finding.unit == "1" && whole(finding.value) && whole(finding.limit)) return 0;  // a count
    int decimals = finding.unit == "1"                                                   ? 3
                   : finding.unit == "C" || finding.unit == "K" || finding.unit == "rpm" ? 0
                                                                                         : 1;
    while (decimals < 4 && finding.margin != 0.0 && std::abs(finding.margin) < 0.5 * std::pow(10.0, -decimals))
        ++decimals;
    return decimals;
}

std::string unit_in_words(const std::string& unit) {
    if (unit.empty() || unit == "1") return "";
    if (unit == "C") return " °C";
    return " " + unit;
}

/// "a", "a and b", "a, b and c", each once.
std::string listed(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i)
        text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    return text;
}

std::string checks_at(const Review& review, const Pull& pull, Severity severity) {
    std::vector<std::string> checks;
    for (const Finding& finding : review.findings)
        if (finding.pull == pull.index && finding.severity == severity && !std::ranges::count(checks, finding.check))
            checks.push_back(finding.check);
    return listed(checks);
}

std::string required_but_unchecked(const Review& review, const Pull& pull) {
    std::vector<std::string> checks;
    for (const NotChecked& check : review.not_checked)
        if (check.standing == Standing::required && (!check.log || check.log == pull.log) &&
            !std::ranges::count(checks, check.check))
            checks.push_back(check.check);
    return listed(checks);
}

}  // namespace

std::string pull_verdict(const Review& review, const Pull& pull) {
    const std::string stops = checks_at(review, pull, Severity::stop), mends = checks_at(review, pull, Severity::mend);
    const std::string watches = checks_at(review, pull, Severity::watch);
    const std::string unchecked = required_but_unchecked(review, pull);
    std::string words = fmt::format("Pull {}: ", pull.index);
    if (!stops.empty())
        words += fmt::format("stop, do not drive this revision again, because of {}", stops);
    else if (!mends.empty())
        words += fmt::format("the next revision must mend {}", mends);
    else if (!unchecked.empty())
        return words + fmt::format("not cleared, {} could not be checked{}.", unchecked,
                                   watches.empty() ? "" : "; watch " + watches);
    else if (!watches.empty())
        words += fmt::format("clear, but watch {}", watches);
    else
        words += "clear, every limit that could be checked held";
    if (!stops.empty() && !mends.empty()) words += "; mend " + mends;
    if (!watches.empty() && (!stops.empty() || !mends.empty())) words += "; watch " + watches;
    return words + ".";
}

std::string margin_in_words(const Finding& finding) {
    const int decimals = decimals_for(finding);
    const std::string limit = fmt::format("{:.{}f}{}", finding.limit, decimals, unit_in_words(finding.unit));
    std::string where = fmt::format("{}, {}: ", to_string(finding.severity), finding.check);
    if (std::abs(finding.margin) < 0.5 * std::pow(10.0, -decimals))
        where += "at the limit of " + limit;
    else
        where += fmt::format("{:.{}f} {} the limit of {}", std::abs(finding.margin), decimals,
                             finding.margin > 0.0                                ? "inside"
                             : std::abs(finding.value) > std::abs(finding.limit) ? "over"
                                                                                 : "under",
                             limit);
    if (finding.engine_speed_rpm > 0.0)
        where += fmt::format(" at {} rpm", draw::with_thousands(finding.engine_speed_rpm));
    return finding.modelled ? where + " (modelled)" : where;
}

}  // namespace revwright::app
