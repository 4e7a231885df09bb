#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "review/checks.h"
#include "review/table_match.h"

namespace revwright {
namespace {

/// A correction toward safety (richer, less spark, less boost) that begins above this share of the speeds visited and
/// lasts to their end looks like component protection. Our choice, common practice, no source.
constexpr double kProtectionBegins = 0.35;

bool fits(const std::vector<RoleMatch>& matches) { return std::ranges::all_of(matches, &RoleMatch::matches); }

/// Whether the control unit's own corrections may have done it: they act toward safety only.
bool may_be_correction(const RoleMatch& match) {
    const auto safe = [](const OffCell& cell) { return cell.deviation < 0.0; };
    if (!std::ranges::all_of(match.off, safe)) return false;
    const auto steady = [](const OffCell& cell) { return cell.steady; };
    if (!std::ranges::any_of(match.off, steady)) return true;  // it comes and goes with heat, an image does not
    const double width = match.highest_rpm - match.lowest_rpm;
    const bool late = match.off.front().engine_speed_rpm > match.lowest_rpm + kProtectionBegins * width;
    const bool to_the_end = match.off.back().engine_speed_rpm > match.highest_rpm - 0.15 * width;
    return match.role == Role::lambda_target && late && to_the_end;
}

const JobImage* fitting_image(const RunView& run) {
    for (const JobImage& image : run.driven.images)
        if (image.tables && image.tables->image != run.driven.tables->image && fits(match_tables(run, *image.tables)))
            return &image;
    return nullptr;
}

struct Words {
    std::string_view what, more, less, unit;
    int decimals;
};

Words words_for(Role role) {
    switch (role) {
        case Role::lambda_target:
            return {"lambda target", "leaner", "richer", "", 3};
        case Role::boost_target:
            return {"boost target", "more", "less", " kPa", 1};
        default:
            return {"base spark", "more", "less", " degrees", 1};
    }
}

std::string_view unit_of(Role role) {
    return role == Role::lambda_target ? "1" : role == Role::boost_target ? "kPa" : "deg";
}

const OffCell& worst_of(const RoleMatch& match) {
    return *std::ranges::max_element(match.off, std::less{},
                                     [](const OffCell& cell) { return std::abs(cell.deviation); });
}

std::string told(const RoleMatch& match) {
    const Words words = words_for(match.role);
    const OffCell& worst = worst_of(match);
    std::string text =
        fmt::format("the logged {} is {:.{}f}{} {} than {} of this image says at {:.0f} rpm", words.what,
                    std::abs(worst.whole), words.decimals, words.unit, worst.deviation > 0.0 ? words.more : words.less,
                    match.table, worst.engine_speed_rpm);
    if (match.off.size() > 1)
        text += fmt::format(", and off in {} of {} cells visited from {:.0f} to {:.0f} rpm", match.off.size(),
                            match.cells, match.off.front().engine_speed_rpm, match.off.back().engine_speed_rpm);
    return text;
}

Finding mismatch(const RunView& run, const std::vector<RoleMatch>& matches, const JobImage* other) {
    std::vector<std::string> parts;
    const RoleMatch* worst = nullptr;
    const auto excess = [](const RoleMatch& match) { return std::abs(worst_of(match).deviation) / match.tolerance; };
    for (const RoleMatch& match : matches) {
        if (match.matches()) continue;
        parts.push_back(told(match));
        if (!worst || excess(match) > excess(*worst)) worst = &match;
    }
    const OffCell& cell = worst_of(*worst);
    Finding found = finding(cell.time_s, cell.deviation,
                            {Severity::stop, worst->tolerance, worst->tolerance - std::abs(cell.deviation)});
    found.unit = unit_of(worst->role);
    found.engine_speed_rpm = cell.engine_speed_rpm;
    found.text = fmt::format("the car was not driven with the image its [[run]] names: {}; {}", fmt::join(parts, "; "),
                             other ? other->name + " fits: install the right image, or name that one in [[run]]"
                                   : "install the right image, or name in [[run]] the one that was driven");
    found.log = run.index;
    return found;
}

Finding as_it_should_be(const RunView& run, const std::vector<RoleMatch>& matches) {
    const auto share = [](const RoleMatch& match) { return std::abs(match.worst_cell) / match.tolerance; };
    const RoleMatch& nearest = *std::ranges::max_element(matches, std::less{}, share);
    Finding found = finding(run.pulls.front().start_s, nearest.worst_cell,
                            {Severity::clear, nearest.tolerance, nearest.tolerance - std::abs(nearest.worst_cell)});
    found.unit = unit_of(nearest.role);
    found.log = run.index;
    std::vector<std::string> tables;
    for (const RoleMatch& match : matches) tables.push_back(match.table);
    found.text = fmt::format("the log follows {} of its image", fmt::join(tables, ", "));
    for (const RoleMatch& match : matches)
        if (!match.matches())
            found.text += fmt::format("; {} is {} in places, as the control unit's own corrections do",
                                      words_for(match.role).what, words_for(match.role).less);
    return found;
}

}  // namespace

std::optional<Obstacle> no_image_to_match(const RunView& run) {
    if (!run.driven.run) return Obstacle{{}, "the job sheet has no [[run]] for this log, so its image is not known"};
    if (!run.driven.tables) return Obstacle{{}, "the image that the [[run]] names is not at hand"};
    const Matchable can = matchable(run, *run.driven.tables);
    if (can.yes) return std::nullopt;
    if (!can.missing.empty())
        return Obstacle{{can.missing}, can.missing + " is not logged, and the tables are read by it"};
    return Obstacle{{}, "no table with the role spark or lambda_target is known in the image"};
}

std::vector<Finding> image_mismatch(std::span<const RunView> runs, const Check&, const Limit&) {
    std::vector<Finding> findings;
    for (const RunView& run : runs) {
        const std::vector<RoleMatch> matches = match_tables(run, *run.driven.tables);
        if (matches.empty()) continue;
        if (fits(matches)) {
            findings.push_back(as_it_should_be(run, matches));
            continue;
        }
        const JobImage* other = fitting_image(run);
        const auto explained = [](const RoleMatch& match) { return match.matches() || may_be_correction(match); };
        if (!other && std::ranges::all_of(matches, explained))
            findings.push_back(as_it_should_be(run, matches));
        else
            findings.push_back(mismatch(run, matches, other));
    }
    return findings;
}

}  // namespace revwright
