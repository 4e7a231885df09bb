#include "cli/text/review_text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>

#include "cli/text/layout.h"

namespace revwright::cli::text {
namespace {

std::string pulls_text(const std::vector<Pull>& pulls, const std::vector<std::string>& logs) {
    if (pulls.empty()) return "No pull: no full-load acceleration in one gear was long and wide enough.\n";
    Columns columns({"pull", "log", "gear", "from rpm", "to rpm", "start s", "end s"});
    for (const Pull& pull : pulls)
        columns.add({std::to_string(pull.index), logs[pull.log], pull.gear ? std::to_string(*pull.gear) : "-",
                     fixed(pull.speed_from_rpm, 0), fixed(pull.speed_to_rpm, 0), fixed(pull.start_s, 1),
                     fixed(pull.end_s, 1)});
    return "Pulls\n" + columns.print(2);
}

std::string excluded_text(const std::vector<Excluded>& excluded, const std::vector<std::string>& logs) {
    if (excluded.empty()) return "";
    Columns columns({"not a pull", "log", "start s", "end s"});
    for (const Excluded& stretch : excluded)
        columns.add({std::string(to_string(stretch.reason)), logs[stretch.log], fixed(stretch.start_s, 1),
                     fixed(stretch.end_s, 1)});
    return "\n" + columns.print(2);
}

std::string place_of(const Finding& finding, const Review& review) {
    if (!finding.pull) return finding.log ? review.logs[*finding.log] : "all logs";
    return fmt::format("pull {} at {:.0f} rpm, {:.1f} s", *finding.pull, finding.engine_speed_rpm, finding.time_s);
}

std::string finding_text(const Finding& finding, const Review& review) {
    const int decimals = decimals_of(finding.unit);
    const std::string unit = finding.unit == "1" ? "" : " " + finding.unit;
    std::string head =
        fmt::format("  {:<5}  {:<19}  {}", to_string(finding.severity), finding.check, place_of(finding, review));
    const std::string numbers = fmt::format("{}{}, limit {}, margin {}", fixed(finding.value, decimals), unit,
                                            fixed(finding.limit, decimals), with_sign(finding.margin, decimals));
    if (width_of(head) < 58) head.append(58 - width_of(head), ' ');
    return head + "  " + numbers + "\n" + paragraph(finding.text, 9);
}

std::string unchecked_text(const NotChecked& check, const Review& review) {
    std::string missing;
    for (const std::string& channel : check.missing) missing += (missing.empty() ? "" : ", ") + channel;
    std::string line = fmt::format("{} ({})", check.check, to_string(check.standing));
    if (!missing.empty()) line += ": log " + missing;
    if (!check.text.empty()) line += (missing.empty() ? ": " : "; ") + check.text;
    if (check.log && review.logs.size() > 1) line += fmt::format(" [{}]", review.logs[*check.log]);
    return paragraph(line, 2);
}

std::size_t how_many(const Review& review, Severity severity) {
    return static_cast<std::size_t>(std::ranges::count(review.findings, severity, &Finding::severity));
}

}  // namespace

std::string verdict(const Review& review) {
    const std::size_t stops = how_many(review, Severity::stop), mends = how_many(review, Severity::mend);
    const std::size_t watches = how_many(review, Severity::watch);
    const bool unchecked = std::ranges::any_of(
        review.not_checked, [](const NotChecked& check) { return check.standing == Standing::required; });
    std::string words;
    if (stops > 0)
        words = fmt::format("Stop: do not drive this revision again ({}, {} to mend, {} to watch).",
                            count(stops, "stop"), mends, watches);
    else if (mends > 0)
        words = fmt::format("Mend: the next revision must correct {} ({} to watch).", count(mends, "finding"), watches);
    else if (watches > 0)
        words = fmt::format("Clear, with {} to watch.", count(watches, "finding"));
    else
        words = "Clear: every limit that could be checked held.";
    if (unchecked) words += " A required check could not run.";
    return words;
}

std::string review_text(const Review& review, bool all) {
    std::string text =
        verdict(review) + "\n\n" + pulls_text(review.pulls, review.logs) + excluded_text(review.excluded, review.logs);
    std::string findings;
    for (const Finding& finding : review.findings)
        if (all || finding.severity != Severity::clear) findings += finding_text(finding, review);
    if (!findings.empty()) text += "\nFindings, worst first\n" + findings;
    if (!review.not_checked.empty()) {
        text += "\nNot checked\n";
        for (const NotChecked& check : review.not_checked) text += unchecked_text(check, review);
    }
    return text;
}

std::string inspect_text(const Log& log, const std::vector<Pull>& pulls, const std::vector<Excluded>& excluded) {
    const Log::Span span = log.span();
    std::string text = fmt::format("{}: {}, {:.1f} s, {}\n\n", log.file, log.format, span.end_s - span.start_s,
                                   count(log.channels.size(), "channel"));
    Columns columns({"channel in the log", "unit", "is", "samples", "min", "max"});
    for (const Channel& channel : log.channels) {
        std::size_t samples = 0;
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const double value : channel.values) {
            if (std::isnan(value)) continue;
            ++samples;
            low = std::min(low, value);
            high = std::max(high, value);
        }
        const int decimals = channel.key ? decimals_of(channel.unit) : 2;
        columns.add({channel.name, channel.unit_in_log.empty() ? "-" : channel.unit_in_log,
                     channel.key ? to_string(*channel.key) : "(none of ours)", std::to_string(samples),
                     fixed(low, decimals), fixed(high, decimals)});
    }
    text += columns.print(2) + "\n" + pulls_text(pulls, {log.file}) + excluded_text(excluded, {log.file});
    if (!log.quality.empty()) text += "\nQuality of the log\n";
    for (const QualityNote& note : log.quality) text += paragraph(note.kind + ": " + note.text, 2);
    if (!log.lost.empty()) text += "\nNot read, or assumed\n";
    for (const std::string& lost : log.lost) text += paragraph(lost, 2);
    return text;
}

}  // namespace revwright::cli::text
