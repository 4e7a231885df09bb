#include "naming/repeated.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace revwright {
namespace {

// Our choices, common practice, no source.
constexpr double kMargin = 0.01;      // of the range, for what rounds otherwise
constexpr double kShareAlike = 0.95;  // of the slow samples; the rest may be leaps

/// Samples without the blanks.
struct Sampled {
    std::vector<double> times, values;
    std::size_t renewals = 0;  // how often the value was another than before
};

Sampled sampled(const Log& log, const Channel& channel) {
    Sampled out;
    const Series series = log.series(channel);
    for (std::size_t i = 0; i < series.size(); ++i) {
        if (std::isnan(series.values[i])) continue;
        if (!out.values.empty() && series.values[i] != out.values.back()) ++out.renewals;
        out.times.push_back(series.times[i]);
        out.values.push_back(series.values[i]);
    }
    return out;
}

/// The samples where the value is another than before, and the first and the last: what rows repeat is left out.
Sampled renewed(const Sampled& all) {
    Sampled out;
    for (std::size_t i = 0; i < all.times.size(); ++i) {
        if (i > 0 && i + 1 < all.times.size() && all.values[i] == all.values[i - 1]) continue;
        out.times.push_back(all.times[i]);
        out.values.push_back(all.values[i]);
    }
    return out;
}

/// Whether the slow values lie in what the fast ones span from the slow value before to the one behind.
bool is_one(const Sampled& fast, const Sampled& in_rows) {
    const Sampled slow = renewed(in_rows);
    if (slow.times.size() < 2 || fast.times.size() < 2) return false;
    const double step = (slow.times.back() - slow.times.front()) / static_cast<double>(slow.times.size() - 1);
    if (fast.times.front() > slow.times.front() + step || fast.times.back() < slow.times.back() - step) return false;
    const auto [low, high] = std::ranges::minmax(fast.values);
    const double margin = kMargin * (high - low);
    std::size_t alike = 0;
    for (std::size_t i = 0; i < slow.times.size(); ++i) {
        const double from = slow.times[i == 0 ? 0 : i - 1];
        const double to = slow.times[std::min(i + 1, slow.times.size() - 1)];
        auto first = std::ranges::lower_bound(fast.times, from);
        auto last = std::ranges::upper_bound(fast.times, to);
        if (first != fast.times.begin()) --first;  // the value that still held when the stretch began
        if (last != fast.times.end()) ++last;
        const auto [least, most] = std::ranges::minmax(std::ranges::subrange(
            fast.values.begin() + (first - fast.times.begin()), fast.values.begin() + (last - fast.times.begin())));
        alike += slow.values[i] >= least - margin && slow.values[i] <= most + margin ? 1U : 0U;
    }
    return static_cast<double>(alike) >= kShareAlike * static_cast<double>(slow.times.size());
}

using NameAndUnit = std::pair<std::string, std::string>;

/// Channels of numbers with one name and unit, where more than one has it, each in a group of its own.
std::map<NameAndUnit, std::vector<std::size_t>> namesakes(const Log& log) {
    std::map<NameAndUnit, std::vector<std::size_t>> found;
    for (std::size_t i = 0; i < log.channels.size(); ++i) {
        const Channel& channel = log.channels[i];
        if (channel.group && channel.texts.empty()) found[{channel.name, channel.unit_in_log}].push_back(i);
    }
    std::erase_if(found, [&](const auto& entry) {
        std::vector<std::size_t> groups;
        for (const std::size_t i : entry.second) groups.push_back(*log.channels[i].group);
        std::ranges::sort(groups);
        return groups.size() < 2 || std::ranges::adjacent_find(groups) != groups.end();
    });
    return found;
}

}  // namespace

void mark_repeated(Log& log) {
    for (const auto& [name, channels] : namesakes(log)) {
        std::vector<Sampled> samples;
        for (const std::size_t i : channels) samples.push_back(sampled(log, log.channels[i]));
        const auto often = [](const Sampled& s) { return std::pair(s.renewals, s.times.size()); };
        const Sampled& best = *std::ranges::max_element(samples, {}, often);  // the first, of equal ones
        for (std::size_t i = 0; i < channels.size(); ++i)
            log.channels[channels[i]].repeated = &samples[i] != &best && is_one(best, samples[i]);
    }
}

void say_repeated(Log& log) {
    for (const Channel& taken : log.channels) {
        if (!taken.key || !taken.group) continue;
        std::string others;
        for (const Channel& other : log.channels)
            if (other.repeated && other.name == taken.name && other.unit_in_log == taken.unit_in_log)
                others += fmt::format("{}{}", others.empty() ? "" : ", ", *other.group);
        if (!others.empty())
            log.lost.push_back(
                fmt::format("channel {} stands in group {} and again in group {}: taken from group {}, "
                            "where it is renewed most often",
                            taken.name, *taken.group, others, *taken.group));
    }
}

}  // namespace revwright
