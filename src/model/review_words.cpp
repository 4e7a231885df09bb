#include "model/review_words.h"

#include <algorithm>
#include <fmt/format.h>

namespace revwright {

std::vector<std::string> checks_at(const Review& review, Severity severity) {
    std::vector<std::string> checks;
    for (const Finding& finding : review.findings)
        if (finding.severity == severity && !std::ranges::count(checks, finding.check)) checks.push_back(finding.check);
    return checks;
}

std::vector<std::string> required_but_unchecked(const Review& review) {
    std::vector<std::string> checks;
    for (const NotChecked& check : review.not_checked)
        if (check.standing == Standing::required && !std::ranges::count(checks, check.check))
            checks.push_back(check.check);
    return checks;
}

std::string listed(const std::vector<std::string>& names) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i)
        text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    return text;
}

std::string verdict_in_words(const Review& review) {
    const std::string stops = listed(checks_at(review, Severity::stop));
    const std::string mends = listed(checks_at(review, Severity::mend));
    const std::string watches = listed(checks_at(review, Severity::watch));
    const std::string unchecked = listed(required_but_unchecked(review));
    std::string words;
    if (!stops.empty())
        words = fmt::format("Stop: do not drive this revision again, because of {}{}.", stops,
                            mends.empty() ? "" : "; also to mend: " + mends);
    else if (!mends.empty())
        words = fmt::format("Mend: the next revision must correct {}{}.", mends,
                            watches.empty() ? "" : "; to watch: " + watches);
    else if (!watches.empty())
        words = fmt::format("Clear, but watch {}.", watches);
    else
        words = "Clear: every limit that could be checked held.";
    if (unchecked.empty()) return words;
    if (stops.empty() && mends.empty())  // what was not looked at is not clear
        return fmt::format("Not cleared: {} could not be checked{}.", unchecked,
                           watches.empty() ? "" : "; to watch: " + watches);
    return fmt::format("{} Not checked, though required: {}.", words, unchecked);
}

}  // namespace revwright
