#include <algorithm>
#include <fmt/format.h>
#include <map>

#include "review/checks.h"
#include "review/places.h"

namespace revwright {
namespace {

// Our choices, common practice, no source: what the pulls of a revision should span.
constexpr double kTopShare = 0.90;  // of the highest engine speed
constexpr double kLowShare = 0.40;
constexpr double kHoleRpm = 300.0;       // a hole between pulls
constexpr double kHoldReachRpm = 250.0;  // a settled point speaks for so much on either side

struct Band {
    double from, to;
};

/// All pulls of one image in one kind of place; logs without a run count together.
struct Driven {
    const RunView* last = nullptr;
    std::vector<Pull> pulls;
    const TableSet* tables = nullptr;
};

std::vector<Driven> by_image(std::span<const RunView> runs) {
    std::map<std::pair<std::string, RunPlace>, std::size_t> seen;
    std::vector<Driven> all;
    for (const RunView& run : runs) {
        const std::string image = run.driven.tables ? to_hex(run.driven.tables->image) : "";
        const auto [at, fresh] = seen.emplace(std::pair(image, place_of(run)), all.size());
        if (fresh) all.emplace_back();
        Driven& driven = all[at->second];
        driven.last = &run;
        driven.tables = run.driven.tables;
        driven.pulls.insert(driven.pulls.end(), run.pulls.begin(), run.pulls.end());
    }
    return all;
}

/// What of the band wanted no pull went through.
std::vector<Band> unvisited(std::vector<Pull> pulls, Band wanted) {
    for (Pull& pull : pulls) {
        if (pull.kind != PullKind::hold) continue;
        pull.speed_from_rpm -= kHoldReachRpm;
        pull.speed_to_rpm += kHoldReachRpm;
    }
    std::ranges::sort(pulls, std::less{}, &Pull::speed_from_rpm);
    std::vector<Band> holes;
    double reached = wanted.from;
    for (const Pull& pull : pulls) {
        if (pull.speed_from_rpm > reached + kHoleRpm)
            holes.push_back({reached, std::min(pull.speed_from_rpm, wanted.to)});
        reached = std::max(reached, pull.speed_to_rpm);
    }
    if (reached < wanted.to) holes.push_back({reached, wanted.to});
    // A pull that begins a little late is not a hole; one that ends early is.
    std::erase_if(holes, [](const Band& hole) { return hole.to <= hole.from; });
    return holes;
}

/// Speed breakpoints of the tables with a role that lie in the holes: nobody knows what happens there.
std::string cells_in(const std::vector<Band>& holes, const Driven& driven, const JobSheet& job) {
    std::vector<std::string> rows;
    if (!driven.tables || !job.image) return "";
    for (const auto& [role, tables] : job.image->roles) {
        const Table* table = tables.empty() ? nullptr : driven.tables->find(tables.front().table);
        if (!table) continue;
        std::string points;
        for (const Axis& axis : table->axes) {
            if (axis.quantity().signal != Signal::engine_speed_rpm) continue;
            for (const double point : axis.points())
                for (const Band& hole : holes)
                    if (point >= hole.from && point <= hole.to)
                        points += fmt::format("{}{:g}", points.empty() ? "" : ", ", point);
        }
        if (!points.empty()) rows.push_back(fmt::format("{} at {} rpm", table->name(), points));
    }
    return rows.empty() ? "" : fmt::format("; not visited: {}", fmt::join(rows, "; "));
}

Finding base(const Driven& driven, double value, const Verdict& judged, std::string_view unit) {
    Finding found = finding(driven.pulls.empty() ? 0.0 : driven.pulls.front().start_s, value, judged);
    found.log = driven.last->index;
    found.unit = unit;
    return found;
}

std::string counted(std::size_t count, std::string_view one) {
    return fmt::format("{} {}{}", count, one, count == 1 ? "" : "s");
}

Finding enough_pulls(const Driven& driven, const JobSheet& job) {
    const auto held = static_cast<std::size_t>(std::ranges::count(driven.pulls, PullKind::hold, &Pull::kind));
    const std::size_t driven_through = driven.pulls.size() - held;
    const double count = static_cast<double>(std::max(driven_through, held));
    const double needed = job.policy.pulls_needed;
    const bool enough = count >= needed;
    Finding found = base(driven, count, {enough ? Severity::clear : Severity::watch, needed, count - needed}, "1");
    std::string seen = counted(driven_through, "clean pull");
    if (held > 0) seen = counted(held, "settled point") + (driven_through > 0 ? " and " + seen : "");
    found.text = fmt::format("{}{}, {:g} are needed", seen, on_road(*driven.last) ? "" : " on the dynamometer", needed);
    return found;
}

std::optional<Finding> whole_range(const Driven& driven, const JobSheet& job) {
    const double highest = job.engine.max_speed_rpm;
    if (!(highest > 0.0) || driven.pulls.empty()) return std::nullopt;
    const Band wanted{kLowShare * highest, kTopShare * highest};
    const std::vector<Band> holes = unvisited(driven.pulls, wanted);
    if (holes.empty()) return std::nullopt;
    const auto width = [](const Band& hole) { return hole.to - hole.from; };
    double missing = 0.0;
    for (const Band& hole : holes) missing += width(hole);
    const Band widest = *std::ranges::max_element(holes, std::less{}, width);
    const double seen_pct = 100.0 * (1.0 - missing / width(wanted));
    Finding found = base(driven, seen_pct, {Severity::watch, 100.0, seen_pct - 100.0}, "%");
    found.engine_speed_rpm = widest.from;
    found.text = fmt::format("no clean pull between {:.0f} and {:.0f} rpm at full load{}", widest.from, widest.to,
                             cells_in(holes, driven, job));
    return found;
}

}  // namespace

std::vector<Finding> coverage(std::span<const RunView> runs, const Check&, const Limit&) {
    std::vector<Finding> findings;
    for (const Driven& driven : by_image(runs)) {
        const JobSheet& job = *driven.last->job;
        findings.push_back(enough_pulls(driven, job));
        if (auto found = whole_range(driven, job)) findings.push_back(std::move(*found));
    }
    return findings;
}

}  // namespace revwright
