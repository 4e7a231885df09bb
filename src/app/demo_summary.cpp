#include "app/demo_summary.h"

#include <algorithm>
#include <fmt/format.h>
#include <string_view>

#include "model/power_words.h"

namespace revwright::app {
namespace {

constexpr std::string_view kFilesAndCautions = R"(## Files

- `job.toml`, `tables.toml`: job sheet and table sheet
- `standard.bin`, `revision-N.bin`: the images; `revision-N.bin.json` holds every changed cell with its warrant
- `run-N.csv`: the log driven with revision N; `run-N.truth.json` what really happened in the simulated car
- `power.svg`, `power.json`: torque and power of the last revision and of the standard car
- `run-N.review.json`: what the run showed against every limit
- `pictures/`: each pull of the last run over engine speed, with limits and margins
- `revision-N.proposal.json`: what revision N is built from

## Cautions

Over-lean or over-advanced running destroys engines. Drive full load on a dynamometer or a closed course. Removing
emission control equipment, or changing its calibration, is unlawful on the road in many places: local law and licensed
practice decide. Torque and speed limiters protect parts and tyres. All figures are estimates.
)";

std::string revisions_table(const Demo& demo) {
    std::string text =
        "| revision | image | what it is | cells changed | pulls | worst finding | torque Nm | power kW |\n"
        "|---:|---|---|---:|---:|---|---:|---:|\n";
    for (const DemoRevision& revision : demo.revisions)
        text += fmt::format("| {} | {} | {} | {} | {} | {} | {:.0f} | {:.0f} |\n", revision.number,
                            to_hex(revision.digest).substr(0, 12), revision.title, revision.changed_cells,
                            revision.review.pulls.size(), worst_in_words(revision.review), revision.torque_nm,
                            revision.power_kw);
    return text;
}

/// The worst finding of each check and severity, as Review::findings is ordered.
std::vector<const Finding*> worst_of_each(const Review& review) {
    std::vector<const Finding*> worst;
    for (const Finding& finding : review.findings) {
        const auto same = [&](const Finding* other) {
            return other->check == finding.check && other->severity == finding.severity;
        };
        if (std::ranges::none_of(worst, same)) worst.push_back(&finding);
    }
    return worst;
}

std::string findings_of(const DemoRevision& revision) {
    std::string text = fmt::format("### Revision {}: {}\n\n", revision.number, revision.title);
    std::size_t listed = 0;
    for (const Finding* finding : worst_of_each(revision.review)) {
        if (finding->severity == Severity::clear) continue;
        text += fmt::format("- **{}** {}: {}\n", to_string(finding->severity), finding->check, finding->text);
        ++listed;
    }
    return text + (listed == 0 ? "Every limit that could be checked held.\n\n" : "\n");
}

/// How far the last revision stays inside each limit.
std::string margins_of(const DemoRevision& revision) {
    std::string text = "| check | verdict | value | limit | margin | unit |\n|---|---|---:|---:|---:|---|\n";
    for (const Finding* finding : worst_of_each(revision.review))
        text +=
            fmt::format("| {} | {} | {:.4g} | {:.4g} | {:.3g} | {} |\n", finding->check, to_string(finding->severity),
                        finding->value, finding->limit, finding->margin, finding->unit == "1" ? "" : finding->unit);
    return text;
}

std::string goal_text(const Goal& goal) {
    std::string text;
    if (goal.torque_nm) text += fmt::format("{:g} Nm", *goal.torque_nm);
    if (goal.power_kw) text += fmt::format("{}{:g} kW", text.empty() ? "" : " and ", *goal.power_kw);
    return text;
}

}  // namespace

std::string worst_in_words(const Review& review) {
    if (review.findings.empty() || review.findings.front().severity == Severity::clear) return "clear";
    const Finding& worst = review.findings.front();
    const std::string where = worst.engine_speed_rpm > 0 ? fmt::format(" at {:.0f} rpm", worst.engine_speed_rpm) : "";
    return fmt::format("{} {}{}", to_string(worst.severity), worst.check, where);
}

std::vector<std::string> power_sentences(const Demo& demo) {
    const PowerSet* set = last_set(demo.power);
    std::vector<std::string> sentences{power_headline(demo.power)};
    if (set == nullptr || !set->as_measured) return sentences;
    if (!set->in_one_sentence.empty()) sentences.push_back(set->in_one_sentence);
    for (const PowerDifference& difference : demo.power.differences)
        sentences.push_back(difference_in_words(demo.power, difference));
    const PowerInterval& interval = set->as_measured->power_kw.interval;
    const double truth = demo.revisions.back().mean_power_kw;
    const bool inside = interval.low <= truth && truth <= interval.high;
    sentences.push_back(
        fmt::format("The simulated car made {:.1f} kW, mean of its pulls' peaks, which lies {} the interval.", truth,
                    inside ? "inside" : "outside"));
    return sentences;
}

std::string summary(const Demo& demo) {
    const DemoRevision& last = demo.revisions.back();
    std::string text =
        "# Tolvane Arden 2.0T: freer intake and exhaust\n\n"
        "Harrowgill Engine Works, job HEW-0117. Workshop, car and people are invented; the car is simulated.\n\n";
    text += fmt::format("The goal agreed with the customer: {}.\n\n", goal_text(demo.goal));
    text +=
        "Torque and power below are the simulated car's own truth, best of the run's pulls; the program did not see "
        "them.\n\n";
    text += revisions_table(demo) + "\n## Power, estimated from the logs\n\n";
    for (const std::string& sentence : power_sentences(demo)) text += sentence + "\n\n";
    text += "![Torque and power over engine speed](power.svg)\n\n## What each run showed\n\n";
    for (const DemoRevision& revision : demo.revisions) text += findings_of(revision);
    text +=
        "## Margins on the last revision\n\nThe worst pull of each check; a positive margin is inside the limit.\n\n" +
        margins_of(last) + "\n## Gates on the last revision\n\n";
    for (const Gate& gate : last.gates)
        text += fmt::format("- {}: {}; {}\n", gate.name, gate.holds ? "holds" : "closed", gate.text);
    return text + fmt::format("\nThe loop ended because {}.\n\n", demo.why_it_ended) + std::string(kFilesAndCautions);
}

}  // namespace revwright::app
