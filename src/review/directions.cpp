#include "review/directions.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <set>

#include "review/places.h"
#include "review/window.h"

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kWithinDeg = 30.0;    // of the same or the opposite heading
constexpr double kSteadyShare = 0.9;   // length of the mean heading vector: below it the road turned
constexpr double kLeastSlope = 0.012;  // steeper than satellite altitude drifts in a pull
constexpr double kLeastMetres = 80.0;
constexpr std::string_view kAgainst = "against ", kAcross = "across ", kOut = "out", kBack = "back";

double apart(double a_deg, double b_deg) { return std::abs(std::remainder(a_deg - b_deg, 360.0)); }

std::optional<double> heading_of(const PullView& view) {
    const Samples heading = view.samples(Signal::heading_deg);
    if (heading.times.size() < 3) return std::nullopt;
    double north = 0.0, east = 0.0;
    for (const double deg : heading.values) {
        north += std::cos(deg * std::numbers::pi / 180.0);
        east += std::sin(deg * std::numbers::pi / 180.0);
    }
    if (std::hypot(north, east) < kSteadyShare * static_cast<double>(heading.times.size())) return std::nullopt;
    const double mean = std::atan2(east, north) * 180.0 / std::numbers::pi;
    return mean < 0.0 ? mean + 360.0 : mean;
}

/// Height gained over road covered, from the ends of the pull.
std::optional<double> slope_of(const PullView& view) {
    const Samples altitude = view.samples(Signal::altitude_m);
    const Signal measured =
        view.run->find(Signal::gnss_speed_km_h) ? Signal::gnss_speed_km_h : Signal::vehicle_speed_km_h;
    const Samples speed = view.samples(measured);
    if (altitude.times.size() < 4 || speed.times.size() < 4) return std::nullopt;
    double metres = 0.0;
    for (std::size_t i = 1; i < speed.times.size(); ++i)
        metres += (speed.times[i] - speed.times[i - 1]) * (speed.values[i] + speed.values[i - 1]) / 7.2;
    if (metres < kLeastMetres) return std::nullopt;
    const std::size_t quarter = std::max<std::size_t>(1, altitude.values.size() / 4);
    const auto part = [&](std::size_t from) {
        const auto at = altitude.values.begin() + static_cast<std::ptrdiff_t>(from);
        return median({at, at + static_cast<std::ptrdiff_t>(quarter)});
    };
    // Medians of the first and last quarter lie three quarters of the pull apart, in time; in road somewhat more.
    const double gained = part(altitude.values.size() - quarter) - part(0);
    return gained / (0.75 * metres);
}

enum class Way { same, opposite, across, unknown };

struct Course {
    std::optional<double> heading, slope;
};

Way way_between(const Course& a, const Course& b) {
    if (a.heading && b.heading) {
        const double angle = apart(*a.heading, *b.heading);
        if (angle <= kWithinDeg) return Way::same;
        return angle >= 180.0 - kWithinDeg ? Way::opposite : Way::across;
    }
    if (!a.slope || !b.slope || std::min(std::abs(*a.slope), std::abs(*b.slope)) < kLeastSlope) return Way::unknown;
    if (std::abs(std::abs(*a.slope) - std::abs(*b.slope)) > 0.5 * std::max(std::abs(*a.slope), std::abs(*b.slope)))
        return Way::unknown;  // not one road
    return *a.slope * *b.slope > 0.0 ? Way::same : Way::opposite;
}

std::string named(const std::string& label, Way way) {
    if (way == Way::across) return label.empty() ? std::string("across") : std::string(kAcross) + label;
    if (label.empty()) return std::string(way == Way::opposite ? kBack : kOut);
    return way == Way::opposite ? std::string(kAgainst) + label : label;
}

void name_within(RunView& run) {
    const std::string label = run.driven.run ? run.driven.run->direction : std::string();
    std::vector<Course> courses;
    for (const Pull& pull : run.pulls) courses.push_back({heading_of({&run, pull}), slope_of({&run, pull})});
    const Course* first = nullptr;
    for (std::size_t i = 0; i < run.pulls.size(); ++i) {
        run.pulls[i].heading_deg = courses[i].heading;
        run.pulls[i].direction = label;
        if (!first) {
            if (courses[i].heading || courses[i].slope) first = &courses[i];
            continue;
        }
        const Way way = way_between(*first, courses[i]);
        if (way != Way::unknown) run.pulls[i].direction = named(label, way);
    }
    if (!first || !label.empty()) return;
    // "out" says nothing unless another pull came back.
    const auto told = [](const Pull& pull) { return !pull.direction.empty(); };
    const auto lead = run.pulls.begin() + (first - courses.data());
    if (std::any_of(lead, run.pulls.end(), told)) lead->direction = named(label, Way::same);
}

bool against(const std::string& a, const std::string& b) { return a == std::string(kAgainst) + b; }

/// The labels of the runs, whichever way of them the pulls went.
std::set<std::string> plain_labels(std::span<const Pull> pulls) {
    std::set<std::string> labels;
    for (const Pull& pull : pulls) {
        std::string_view label = pull.direction;
        for (const std::string_view prefix : {kAgainst, kAcross})
            if (label.starts_with(prefix)) label.remove_prefix(prefix.size());
        if (!label.empty() && label != kOut && label != kBack && label != "across") labels.emplace(label);
    }
    return labels;
}

bool opposite_labels(const Pull& a, const Pull& b, const std::set<std::string>& labels) {
    if (a.direction.empty() || b.direction.empty() || a.direction == b.direction) return false;
    if (against(a.direction, b.direction) || against(b.direction, a.direction)) return true;
    const bool there_and_back = std::set<std::string_view>{a.direction, b.direction} == std::set{kOut, kBack};
    if (there_and_back) return a.log == b.log;
    // A road has two ways: two labels that a job gives are each other's opposite.
    return labels.size() == 2 && labels.contains(a.direction) && labels.contains(b.direction);
}

bool opposite_by(const Pull& a, const Pull& b, const std::set<std::string>& labels) {
    if (a.heading_deg && b.heading_deg) return apart(*a.heading_deg, *b.heading_deg) >= 180.0 - kWithinDeg;
    return opposite_labels(a, b, labels);
}

}  // namespace

void name_directions(std::span<RunView> runs) {
    for (RunView& run : runs)
        if (on_road(run)) name_within(run);
}

bool opposite(const Pull& a, const Pull& b, std::span<const Pull> pulls) {
    return opposite_by(a, b, plain_labels(pulls));
}

std::vector<OppositePair> opposite_pairs(std::span<const Pull> pulls) {
    const std::set<std::string> labels = plain_labels(pulls);
    struct Candidate {
        double apart_rpm;
        std::size_t one, other;
    };
    std::vector<Candidate> all;
    for (std::size_t a = 0; a < pulls.size(); ++a)
        for (std::size_t b = a + 1; b < pulls.size(); ++b) {
            const bool accelerate = pulls[a].kind == PullKind::acceleration && pulls[b].kind == PullKind::acceleration;
            if (!accelerate || pulls[a].gear != pulls[b].gear || !opposite_by(pulls[a], pulls[b], labels)) continue;
            all.push_back({std::abs(pulls[a].speed_from_rpm - pulls[b].speed_from_rpm) +
                               std::abs(pulls[a].speed_to_rpm - pulls[b].speed_to_rpm),
                           a, b});
        }
    std::ranges::stable_sort(all, std::less{}, &Candidate::apart_rpm);
    std::vector<OppositePair> pairs;
    std::vector<bool> taken(pulls.size());
    for (const Candidate& pair : all) {
        if (taken[pair.one] || taken[pair.other]) continue;
        taken[pair.one] = taken[pair.other] = true;
        pairs.push_back({pair.one, pair.other});
    }
    return pairs;
}

std::vector<std::string> direction_notes(std::span<const Pull> pulls) {
    const std::set<std::string> labels = plain_labels(pulls);
    std::vector<std::string> notes;
    std::vector<bool> told(pulls.size());
    for (std::size_t a = 0; a < pulls.size(); ++a) {
        if (told[a]) continue;
        std::vector<std::string> others;
        for (std::size_t b = a + 1; b < pulls.size(); ++b)
            if (!told[b] && opposite_by(pulls[a], pulls[b], labels)) {
                others.push_back(std::to_string(pulls[b].index));
                told[b] = true;
            }
        if (others.empty()) continue;
        // What went the same way as `a` needs no note of its own.
        for (std::size_t b = a + 1; b < pulls.size(); ++b)
            if (pulls[b].direction == pulls[a].direction && pulls[b].log == pulls[a].log) told[b] = true;
        notes.push_back(fmt::format("Pull{} {} {} driven the opposite way to pull {}{}.", others.size() == 1 ? "" : "s",
                                    fmt::join(others, ", "), others.size() == 1 ? "was" : "were", pulls[a].index,
                                    pulls[a].direction.empty() || pulls[a].direction == kOut
                                        ? std::string()
                                        : fmt::format(" ({})", pulls[a].direction)));
    }
    return notes;
}

}  // namespace revwright
