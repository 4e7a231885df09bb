#include "cli/text/review_text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <limits>

#include "cli/text/layout.h"
#include "model/review_words.h"

namespace revwright::cli::text {
namespace {

/// What a pull was besides a pull on the road: held at one speed, or with a known direction.
std::string manner_of(const Pull& pull) {
    std::string manner = pull.kind == PullKind::hold ? "held" : "";
    if (!pull.direction.empty()) manner += (manner.empty() ? "" : ", ") + pull.direction;
    return manner;
}

std::string pulls_text(const std::vector<Pull>& pulls, const std::vector<std::string>& logs) {
    if (pulls.empty()) return "No pull: no full-load acceleration in one gear was long and wide enough.\n";
    const bool manners = std::ranges::any_of(pulls, [](const Pull& pull) { return !manner_of(pull).empty(); });
    std::vector<std::string> heads{"pull", "log", "gear", "from rpm", "to rpm", "start s", "end s"};
    if (manners) heads.emplace_back("driven");
    Columns columns(heads);
    for (const Pull& pull : pulls) {
        std::vector<std::string> row{std::to_string(pull.index),
                                     logs[pull.log],
                                     pull.gear ? std::to_string(*pull.gear) : "-",
                                     fixed(pull.speed_from_rpm, 0),
                                     fixed(pull.speed_to_rpm, 0),
                                     fixed(pull.start_s, 1),
                                     fixed(pull.end_s, 1)};
        if (manners) row.push_back(manner_of(pull));
        columns.add(row);
    }
    return "Pulls\n" + columns.print(2);
}

std::string_view place_name(RunPlace place) {
    switch (place) {
        case RunPlace::road:
            return "road";
        case RunPlace::inertia_dyno:
            return "inertia dynamometer";
        case RunPlace::brake_dyno:
            return "brake dynamometer";
    }
    return "-";
}

/// What the job sheet says of the logs. Nothing where it knows none of them.
std::string runs_text(const Review& review) {
    const auto known = [](const ReviewedRun& run) { return run.place.has_value(); };
    if (std::ranges::none_of(review.runs, known)) return "";
    Columns columns({"log", "image", "place", "direction", "fuel"});
    for (const ReviewedRun& run : review.runs) {
        const std::string image = run.image ? to_hex(*run.image).substr(0, 12) : "not in the job sheet";
        std::string fuel = run.fuel_batch;
        if (run.ron) fuel += fmt::format("{}RON {:g}", fuel.empty() ? "" : ", ", *run.ron);
        columns.add({review.logs[run.log], image + (run.standard ? " (standard)" : ""),
                     run.place ? std::string(place_name(*run.place)) : "-", run.direction.empty() ? "-" : run.direction,
                     fuel.empty() ? "-" : fuel});
    }
    return "Runs\n" + columns.print(2) + "\n";
}

std::string excluded_text(const std::vector<Excluded>& excluded, const std::vector<std::string>& logs) {
    if (excluded.empty()) return "";
    Columns columns({"not a pull", "log", "start s", "end s"});
    for (const Excluded& stretch : excluded)
        columns.add({std::string(to_string(stretch.reason)), logs[stretch.log], fixed(stretch.start_s, 1),
                     fixed(stretch.end_s, 1)});
    return "\n" + columns.print(2);
}

/// Findings of one check and severity, worst first: they are one matter, told once with the pulls it came up in.
using Matter = std::vector<const Finding*>;

std::vector<Matter> matters_of(const Review& review, bool all) {
    std::vector<Matter> matters;
    for (const Finding& finding : review.findings) {
        if (!all && finding.severity == Severity::clear) continue;
        const auto same = std::ranges::find_if(matters, [&](const Matter& matter) {
            return matter.front()->check == finding.check && matter.front()->severity == finding.severity;
        });
        if (same == matters.end())
            matters.push_back({&finding});
        else
            same->push_back(&finding);
    }
    return matters;
}

std::string also_in(const Matter& matter) {
    std::string pulls;
    for (std::size_t i = 1; i < matter.size(); ++i) {
        if (!matter[i]->pull) continue;
        pulls +=
            fmt::format("{}{} ({:.0f} rpm)", pulls.empty() ? "" : ", ", *matter[i]->pull, matter[i]->engine_speed_rpm);
    }
    return pulls.empty() ? pulls : paragraph("Also in pull " + pulls + ".", 9);
}

/// As many decimals as the unit asks for, and more where they would show a margin that is there as none.
int decimals_for(const Finding& finding) {
    const auto whole = [](double x) { return x == std::round(x); };
    if (finding.unit == "1" && whole(finding.value) && whole(finding.limit)) return 0;  // a count, not a lambda
    int decimals = decimals_of(finding.unit);
    while (decimals < 4 && finding.margin != 0.0 && std::abs(finding.margin) < 0.5 * std::pow(10.0, -decimals))
        ++decimals;
    return decimals;
}

std::string matter_text(const Matter& matter, const Review& review) {
    const Finding& worst = *matter.front();
    const int decimals = decimals_for(worst);
    const std::string unit = worst.unit == "1" || worst.unit.empty() ? "" : " " + worst.unit;
    std::string text = fmt::format("  {:<5}  {:<19}  {}{}, limit {}, margin {}", to_string(worst.severity), worst.check,
                                   fixed(worst.value, decimals), unit, fixed(worst.limit, decimals),
                                   with_sign(worst.margin, decimals));
    if (worst.log && review.logs.size() > 1) text += fmt::format("  [{}]", review.logs[*worst.log]);
    return text + "\n" + paragraph(worst.text, 9) + also_in(matter);
}

/// "a", "a and b", "a, b and c", each once.
/// The unit of the numbers shown: ours once the channel is known, else the log's.
std::string shown_unit(const Channel& channel) {
    const std::string& unit = channel.key ? channel.unit : channel.unit_in_log;
    return unit.empty() || unit == "1" ? "-" : unit;
}

/// What a channel is, or may be.
std::string meaning_of(const Channel& channel) {
    if (channel.key) return to_string(*channel.key);
    if (!channel.texts.empty()) return "(words)";
    if (channel.repeated) return "(again)";
    return channel.candidates.empty() ? "(none of ours)" : "(open)";
}

/// Channels that could not be settled, with what they may be and why that is open.
std::string open_channels_text(const Log& log) {
    std::string text;
    for (const Channel& channel : log.channels) {
        if (channel.candidates.empty()) continue;
        std::string names;
        for (const std::string& name : channel.candidates) names += (names.empty() ? "" : " or ") + name;
        text += paragraph(fmt::format("{} may be {}: {}.", channel.name, names, channel.doubt), 2);
    }
    if (text.empty()) return "";
    return "\nOpen: name these in a channel sheet (--save-channels FILE writes one to complete)\n" + text;
}

/// What the channels of words say.
std::string words_text(const Log& log) {
    constexpr std::size_t kMost = 32;
    std::string text;
    for (const Channel& channel : log.channels) {
        if (channel.texts.empty()) continue;
        std::vector<std::string> words = words_in(channel, kMost + 1);
        const bool more = words.size() > kMost;
        if (more) words.resize(kMost);
        const std::string said = words.empty() ? "no word" : fmt::format("{}", fmt::join(words, ", "));
        text += paragraph(fmt::format("{}: {}{}", channel.name, said, more ? " and more" : ""), 2);
    }
    return text.empty() ? text : "\nWords\n" + text;
}

/// Why a check did not run, and what would cure it.
std::string reason_of(const NotChecked& check) {
    if (!check.text.empty()) return check.text;
    return check.missing.empty() ? "" : "not logged: " + listed(check.missing);
}

void add_once(std::vector<std::string>& names, const std::string& name) {
    if (!std::ranges::count(names, name)) names.push_back(name);
}

/// Checks that did not run for one and the same reason stand in one paragraph, with the logs where that is so.
std::string unchecked_text(const Review& review) {
    struct Group {
        Standing standing;
        std::string reason;
        std::vector<std::string> checks, logs;
    };
    std::vector<Group> groups;
    for (const NotChecked& check : review.not_checked) {
        const std::string reason = reason_of(check);
        auto group = std::ranges::find_if(
            groups, [&](const Group& g) { return g.standing == check.standing && g.reason == reason; });
        if (group == groups.end()) group = groups.insert(groups.end(), {check.standing, reason, {}, {}});
        add_once(group->checks, check.check);
        if (check.log) add_once(group->logs, review.logs[*check.log]);
    }
    std::ranges::stable_sort(groups, {}, &Group::standing);
    std::string text;
    for (const Group& group : groups) {
        std::string line = fmt::format("{} ({}): {}", listed(group.checks), to_string(group.standing), group.reason);
        const bool some = !group.logs.empty() && group.logs.size() < review.logs.size();
        if (some) line += fmt::format(" [{}]", listed(group.logs));
        text += paragraph(line, 2);
    }
    return text;
}

}  // namespace

std::string review_text(const Review& review, bool all) {
    std::string text = verdict_in_words(review) + "\n\n" + runs_text(review) + pulls_text(review.pulls, review.logs) +
                       excluded_text(review.excluded, review.logs);
    if (!review.notes.empty()) text += "\nNotes\n";
    for (const std::string& note : review.notes) text += paragraph(note, 2);
    std::string findings;
    for (const Matter& matter : matters_of(review, all)) findings += matter_text(matter, review);
    if (!findings.empty()) text += "\nFindings, worst first\n" + findings;
    if (!review.not_checked.empty()) text += "\nNot checked\n" + unchecked_text(review);
    return text;
}

std::string inspect_text(const Log& log, const std::vector<Pull>& pulls, const std::vector<Excluded>& excluded) {
    const Log::Span span = log.span();
    std::string text = fmt::format("{}: {}, {:.1f} s, {}\n", log.file, log.format, span.end_s - span.start_s,
                                   count(log.channels.size(), "channel"));
    if (!log.named_by.empty()) text += fmt::format("Channels named by {}.\n", log.named_by);
    text += "\n";
    const bool groups = std::ranges::any_of(log.channels, [](const Channel& c) { return c.group.has_value(); });
    std::vector<std::string> heads{"channel in the log", "unit", "is", "samples", "Hz", "min", "max", "quality"};
    if (groups) heads.insert(heads.begin() + 1, "group");
    Columns columns(heads);
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
        const bool range = samples > 0 && channel.texts.empty();
        std::vector<std::string> row{channel.name,
                                     shown_unit(channel),
                                     meaning_of(channel),
                                     std::to_string(samples),
                                     channel.refresh_hz ? fixed(*channel.refresh_hz, 1) : "?",
                                     range ? fixed(low, decimals) : "-",
                                     range ? fixed(high, decimals) : "-",
                                     listed(channel.quality)};
        if (groups) row.insert(row.begin() + 1, channel.group ? std::to_string(*channel.group) : "-");
        columns.add(row);
    }
    text += columns.print(2) + "\n" + pulls_text(pulls, {log.file}) + excluded_text(excluded, {log.file});
    text += words_text(log) + open_channels_text(log);
    if (!log.quality.empty()) text += "\nQuality of the log\n";
    for (const QualityNote& note : log.quality) text += paragraph(note.kind + ": " + note.text, 2);
    if (!log.lost.empty()) text += "\nNot read, or assumed\n";
    for (const std::string& lost : log.lost) text += paragraph(lost, 2);
    return text;
}

}  // namespace revwright::cli::text
